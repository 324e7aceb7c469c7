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
mod hand_counted;
mod interrupt;
mod joining;
mod killed;
mod kit;
mod lesson;
mod model;
mod planted;
mod reading;
mod standard;
mod statistics;
mod trap_options;
mod traps_file;
