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
mod soundness;
mod trap;
mod watch;

use std::process::ExitCode;

use args::{Arguments, Command};
use error::CliError;
use output::Output;

/// Runs the program on the arguments of the process.
pub fn main() -> ExitCode {
    let arguments = match Arguments::read() {
        Ok(arguments) => arguments,
        Err(error) => return output::usage(&error),
    };
    let mut output = Output::new();
    let result = run(&arguments, &mut output).and_then(|()| output.finish());
    match result {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) if error.is_closed_pipe() => ExitCode::SUCCESS,
        Err(error) => {
            output::complain(&error);
            ExitCode::from(error.exit_code())
        }
    }
}

fn run(arguments: &Arguments, output: &mut Output) -> Result<(), CliError> {
    let store = arguments.store();
    match &arguments.command {
        Command::Build(args) => build::run(args, store),
        Command::Join(args) => join::run(args, store),
        Command::Moves(args) => moves::run(args, store, output),
        Command::Trap(args) => trap::run(args, store, output),
        Command::Hunt(args) => hunt::run(args, store, output),
        Command::Games(args) => games::run(args, store, output),
        Command::Lesson(args) => lesson::run(args, store),
        Command::Diagram(args) => diagram::run(args, output),
        Command::About(args) => about::run(args, store, output),
        Command::Export(args) => export::run(args, store, output),
        // Answered where the arguments are read.
        Command::Help(_) => Ok(()),
    }
}
