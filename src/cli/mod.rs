//! The command line: arguments as typed, settings as checked, one file a command.
//!
//! Answers go to standard output, everything else to standard error; `output` owns both.

mod about;
mod args;
mod build;
mod diagram;
mod error;
mod export;
mod files;
mod games;
mod hunt;
mod hunt_args;
mod join;
mod judge_args;
mod lesson;
mod memory;
mod movers;
mod moves;
mod output;
mod signals;
mod soundness;
mod trap;
mod watch;

use std::process::ExitCode;

use args::{Arguments, Command};
use error::CliError;
use output::Output;
use signals::Signals;

/// Runs the program on the arguments of the process.
pub fn main() -> ExitCode {
    let signals = match Signals::listen() {
        Ok(signals) => signals,
        Err(error) => return output::complain(&error),
    };
    let arguments = match Arguments::read() {
        Ok(arguments) => arguments,
        Err(error) => return output::usage(&error),
    };
    let mut output = Output::new();
    let result = run(&arguments, &mut output, &signals);
    output.exit(result)
}

fn run(arguments: &Arguments, output: &mut Output, signals: &Signals) -> Result<(), CliError> {
    let store = arguments.store();
    match &arguments.command {
        Command::Build(args) => build::run(args, store, signals),
        Command::Join(args) => join::run(args, store, signals),
        Command::Moves(args) => moves::run(args, store, output),
        Command::Trap(args) => trap::run(args, store, output, signals),
        Command::Hunt(args) => hunt::run(args, store, output, signals),
        Command::Games(args) => games::run(args, output, signals),
        Command::Lesson(args) => lesson::run(args, store, signals),
        Command::Diagram(args) => diagram::run(args, output),
        Command::About(args) => about::run(args, store, output),
        Command::Export(args) => export::run(args, store, output),
        // Answered where the arguments are read.
        Command::Help(_) => Ok(()),
    }
}
