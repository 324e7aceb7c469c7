//! The command line: one file a command, its arguments beside its `run`; what several commands
//! share is in `*_args`.
//!
//! Answers go to standard output, everything else to standard error; `output` owns both.

mod about;
mod answer_args;
mod build;
mod commands;
mod completions;
mod diagram;
mod error;
mod export;
mod files;
mod games;
mod gaps;
mod help;
mod hunt;
mod import_args;
mod join;
mod judge_args;
mod language;
mod lesson;
mod level_args;
mod line_args;
mod man;
mod map;
mod movers;
mod moves;
mod output;
mod over;
mod repertoire_args;
mod share;
mod signals;
mod soundness;
mod student;
mod student_names;
mod trap;
mod watch;

use std::process::ExitCode;

use commands::Arguments;
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
    let result = arguments.run(&mut output, &signals);
    output.exit(result)
}
