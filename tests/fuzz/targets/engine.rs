#![no_main]

use deadfall_fuzz::{checks, seeds};
use libfuzzer_sys::fuzz_target;

fuzz_target!(init: seeds::write_if_asked(checks::engine::seeds), |bytes: &[u8]| {
    checks::engine::check(bytes);
});
