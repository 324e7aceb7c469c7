//! The only place that writes to the terminal, and the border at which text of others loses what
//! could steer it (see `pages::Safe`).

use std::io::{self, BufWriter, IsTerminal, StdoutLock, Write};
use std::process::ExitCode;

use clap::error::{ContextKind, ErrorKind};

use super::error::CliError;
use crate::pages::{Safe, one_line};

/// Standard output, buffered until the answer is complete.
pub struct Output {
    answer: BufWriter<Safe<StdoutLock<'static>>>,
    status: u8,
}

impl Output {
    /// The output of this process.
    pub fn new() -> Output {
        let safe = Safe::new(io::stdout().lock());
        Output { answer: BufWriter::with_capacity(1 << 16, safe), status: 0 }
    }

    /// Where an answer for people goes, and JSON, in which no letter steers.
    pub fn answer(&mut self) -> &mut impl Write {
        &mut self.answer
    }

    /// Where data for programs go: as they are, unless a terminal would see them.
    pub fn data(&mut self) -> &mut impl Write {
        if !io::stdout().is_terminal() {
            self.answer.get_mut().keep();
        }
        &mut self.answer
    }

    /// Says that the answer is a failed claim, even if nobody reads it to its end.
    pub fn claim_fails(&mut self) {
        self.status = 1;
    }

    /// Writes what is left.
    pub fn finish(&mut self) -> Result<(), CliError> {
        Ok(self.answer.flush()?)
    }

    /// How the program ends.
    pub fn exit(mut self, result: Result<(), CliError>) -> ExitCode {
        match result.and_then(|()| self.finish()) {
            Ok(()) => ExitCode::from(self.status),
            Err(error) if error.is_closed_pipe() => ExitCode::from(self.status),
            Err(error) => complain(&error),
        }
    }
}

/// Whether somebody watches standard error on a terminal.
pub fn is_watched() -> bool {
    io::stderr().is_terminal()
}

/// A line or more for people, on standard error. If it cannot be written it is dropped: the work is
/// done all the same.
pub fn note(text: &str) {
    let mut safe = Safe::new(Vec::new());
    let written =
        writeln!(safe, "{text}").and_then(|()| io::stderr().write_all(&safe.into_inner()));
    drop(written);
}

/// The error that ends the program, on one line of standard error.
pub fn complain(error: &CliError) -> ExitCode {
    note(&format!("deadfall: {}", one_line(&error.to_string())));
    ExitCode::from(error.exit_code())
}

/// Help, version, or what is wrong with the arguments.
pub fn usage(error: &clap::Error) -> ExitCode {
    if error.use_stderr() {
        let text = no_number(error).unwrap_or_else(|| error.render().to_string());
        match error.kind() {
            ErrorKind::DisplayHelpOnMissingArgumentOrSubcommand => note(text.trim_end()),
            _ => note(&format!("deadfall: {}", one_line(&in_one_line(&text)))),
        }
        return ExitCode::from(u8::try_from(error.exit_code()).unwrap_or(2));
    }
    match error.print().and_then(|()| io::stdout().flush()).map_err(CliError::from) {
        Err(error) if !error.is_closed_pipe() => complain(&error),
        _ => ExitCode::SUCCESS,
    }
}

/// A message of several lines as one: what is wrong, where, what to write instead, and which
/// help says more.
fn in_one_line(text: &str) -> String {
    let (message, usage) = text.split_once("\nUsage: ").unwrap_or((text, ""));
    let mut said = String::new();
    for line in message.lines().map(str::trim) {
        match (line.strip_prefix("tip: "), said.is_empty()) {
            _ if line.is_empty() || line == MORE => {}
            (Some(tip), _) => said += &format!("; {tip}"),
            (None, true) => said += line.strip_prefix("error: ").unwrap_or(line),
            (None, false) => said += &format!(" {line}"),
        }
    }
    let is_command = |word: &&str| word.bytes().all(|byte| byte.is_ascii_lowercase());
    let command: Vec<&str> = usage.split_whitespace().take_while(is_command).collect();
    match command.is_empty() {
        true => said,
        false => format!("{said}; '{} --help' tells more", command.join(" ")),
    }
}

/// What the library ends its messages with.
const MORE: &str = "For more information, try '--help'.";

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
    Some(format!("error: invalid value '{value}' for '{option}': {wanted}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn messages_about_arguments_are_one_line_with_all_that_they_say() {
        let text = "error: invalid value 'whit' for '--as <COLOUR>'\n  [possible values: white, black]\n\n  tip: a similar value \
                    exists: 'white'\n\nFor more information, try '--help'.\n";
        assert_eq!(
            in_one_line(text),
            "invalid value 'whit' for '--as <COLOUR>' [possible values: white, black]; a similar value exists: 'white'"
        );
        let text = "error: the following required arguments were not provided:\n  --as <COLOUR>\n  <FILE>\n\nUsage: deadfall hunt --as \
                    <COLOUR>\n\nFor more information, try '--help'.\n";
        assert_eq!(
            in_one_line(text),
            "the following required arguments were not provided: --as <COLOUR> <FILE>; 'deadfall hunt --help' tells more"
        );
    }
}
