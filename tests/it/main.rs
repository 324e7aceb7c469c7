//! The integration tests, one file a subject.

mod adding;
mod architecture;
mod bad_input;
mod claims;
mod commands;
mod coverage;
mod damage;
mod determinism;
mod engine;
mod forms;
mod four_plies;
mod games;
mod golden;
mod hunt;
mod interrupt;
mod joining;
mod killed;
mod kit;
mod model;
mod reading;
mod standard;
mod statistics;
mod traps_file;
