//! The integration tests, one file a subject.

mod adding;
mod bad_input;
mod coverage;
mod determinism;
mod four_plies;
mod golden;
mod kit;
mod traps_file;
