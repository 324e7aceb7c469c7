//! The integration tests, one file a subject.

mod adding;
mod architecture;
mod bad_input;
mod commands;
mod coverage;
mod determinism;
mod four_plies;
mod golden;
mod hunt;
mod interrupt;
mod kit;
mod model;
mod reading;
mod traps_file;
