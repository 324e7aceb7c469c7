//! Answers: pure statistics on counted cells.

pub mod stats;
