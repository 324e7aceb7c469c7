#![no_main]

use deadfall_fuzz::{checks, seeds};
use libfuzzer_sys::fuzz_target;

fuzz_target!(init: seeds::write_if_asked(checks::lines::trap_seeds), |bytes: &[u8]| {
    checks::lines::traps(bytes);
});
