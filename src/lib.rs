//! Counts which opening traps really occur at a playing level.

pub mod answers;
