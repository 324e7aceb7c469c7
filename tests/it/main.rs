//! Tests of the library and the program from outside.

mod traps_file;

fn main() {}
