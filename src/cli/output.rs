//! The only place that writes to the terminal.

use std::io::{self, BufWriter, IsTerminal, StdoutLock, Write};
use std::process::ExitCode;

use clap::error::ContextKind;

use super::error::CliError;

/// Standard output, buffered until the answer is complete.
pub struct Output {
    answer: BufWriter<StdoutLock<'static>>,
}

impl Output {
    /// The output of this process.
    pub fn new() -> Output {
        Output { answer: BufWriter::with_capacity(1 << 16, io::stdout().lock()) }
    }

    /// Where the answer goes.
    pub fn answer(&mut self) -> &mut impl Write {
        &mut self.answer
    }

    /// Writes what is left.
    pub fn finish(&mut self) -> Result<(), CliError> {
        Ok(self.answer.flush()?)
    }
}

/// Whether somebody watches standard error on a terminal.
pub fn is_watched() -> bool {
    io::stderr().is_terminal()
}

/// A line for people, on standard error.
#[expect(clippy::print_stderr, reason = "this is the one place for it")]
pub fn note(line: &str) {
    eprintln!("{line}");
}

/// The error that ends the program, on standard error.
pub fn complain(error: &CliError) {
    if !matches!(error, CliError::ClaimFails) {
        note(&format!("deadfall: {error}"));
    }
}

/// Help, version, or what is wrong with the arguments.
pub fn usage(error: &clap::Error) -> ExitCode {
    match no_number(error) {
        Some(line) => note(&line),
        // Nothing is left to be done if this cannot be written.
        None => drop(error.print()),
    }
    ExitCode::from(u8::try_from(error.exit_code()).unwrap_or(2))
}

/// What to say instead of what the standard library says about a word that is no number.
fn no_number(error: &clap::Error) -> Option<String> {
    let source = std::error::Error::source(error)?;
    let wanted = if source.is::<std::num::ParseFloatError>() {
        "give a number such as 1.5"
    } else if source.is::<std::num::ParseIntError>() {
        "give a whole number such as 20"
    } else {
        return None;
    };
    let part = |kind| error.get(kind).map(ToString::to_string);
    let (value, option) = (part(ContextKind::InvalidValue)?, part(ContextKind::InvalidArg)?);
    Some(format!(
        "error: invalid value '{value}' for '{option}': {wanted}\n\nFor more information, try '--help'."
    ))
}
