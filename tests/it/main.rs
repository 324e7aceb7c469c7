//! The integration tests, one file a subject.

mod adding;
mod architecture;
mod bad_input;
mod claims;
mod commands;
mod coverage;
mod determinism;
mod engine;
mod four_plies;
mod games;
mod golden;
mod interrupt;
mod kit;
mod model;
mod reading;
mod standard;
mod statistics;
mod traps_file;
