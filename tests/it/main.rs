//! The integration tests, one file a subject.

mod adding;
mod architecture;
mod bad_input;
mod commands;
mod coverage;
mod determinism;
mod four_plies;
mod golden;
mod hand_counted;
mod interrupt;
mod kit;
mod model;
mod planted;
mod reading;
mod trap_options;
mod traps_file;
