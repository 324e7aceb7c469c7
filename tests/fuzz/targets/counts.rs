#![no_main]

use deadfall_fuzz::{checks, seeds};
use libfuzzer_sys::fuzz_target;

fuzz_target!(init: seeds::write_if_asked(seeds::counts), |bytes: &[u8]| {
    checks::counts::check(bytes);
});
