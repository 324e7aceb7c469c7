//! The integration tests, one file a subject.

mod coverage;
mod traps_file;
