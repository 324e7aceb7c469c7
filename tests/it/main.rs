//! The integration tests, one file a subject.

mod coverage;
mod four_plies;
mod golden;
mod kit;
mod traps_file;
