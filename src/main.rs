//! The `deadfall` command.
fn main() {}
