#![no_main]

use deadfall_fuzz::{checks, seeds};
use libfuzzer_sys::fuzz_target;

fuzz_target!(init: seeds::write_if_asked(seeds::reader), |bytes: &[u8]| {
    checks::reader::check(bytes);
});
