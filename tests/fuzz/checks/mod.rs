//! Checks that hold for any bytes; they panic where one does not.

pub mod codec;
pub mod counts;
pub mod dump;
pub mod engine;
pub mod lines;
pub mod naive;
pub mod reader;
