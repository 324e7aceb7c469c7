//! The `deadfall` command.

use std::process::ExitCode;

fn main() -> ExitCode {
    deadfall::cli::main()
}
