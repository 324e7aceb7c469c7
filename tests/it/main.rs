mod traps_file;

fn main() {}
