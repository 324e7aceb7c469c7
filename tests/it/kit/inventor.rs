//! The program that invents dumps whose truth is known.

use std::process::Command;

/// A command that runs it, to be given options: the one that `INVENT` names, else built now.
pub fn inventor() -> Command {
    if let Some(program) = std::env::var_os("INVENT") {
        return Command::new(program);
    }
    let mut cargo = Command::new(env!("CARGO"));
    cargo.current_dir(env!("CARGO_MANIFEST_DIR"));
    cargo.args(["run", "--quiet", "--locked", "--release", "--example", "invent", "--"]);
    cargo
}
