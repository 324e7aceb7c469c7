#![no_main]

use deadfall_fuzz::{checks, seeds};
use libfuzzer_sys::fuzz_target;

fuzz_target!(init: seeds::write_if_asked(checks::lines::claim_seeds), |bytes: &[u8]| {
    checks::lines::claims(bytes);
});
