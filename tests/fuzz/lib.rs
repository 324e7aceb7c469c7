//! What the fuzz targets share: checks that take any bytes, and seeds to begin with.
//!
//! The checks know nothing of the fuzzer. The ordinary tests run them too, on the inputs in `found`
//! that once failed (`tests/it/fuzzed.rs`).

pub mod checks;
pub mod kit;
pub mod seeds;
