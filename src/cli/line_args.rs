//! A position as typed.

use std::path::Path;

use clap::Args;

use super::error::CliError;
use crate::lines::{Line, LineError};
use crate::pages::one_line;

/// The way to a position.
#[derive(Debug, Args)]
pub struct LineArgs {
    /// The moves that lead to the position, such as "1. e4 e5 2. Nf3"
    #[arg(value_name = "LINE")]
    line: Vec<String>,
    /// Begin in this position, a FEN in quotes, instead of the start position
    #[arg(long, value_name = "FEN")]
    fen: Option<String>,
}

impl LineArgs {
    /// What is typed, if it is one word and no position.
    pub fn only_word(&self) -> Option<&str> {
        match &self.line[..] {
            [word] if self.fen.is_none() => Some(word),
            _ => None,
        }
    }

    /// The line, checked.
    pub fn line(&self) -> Result<Line, CliError> {
        let moves = moves_of(&self.line);
        match &self.fen {
            Some(fen) => Line::from_fen(fen, &moves),
            None => moves.parse(),
        }
        .map_err(|error| no_line(&self.line, error))
    }
}

/// The line of words that begin in the initial position.
pub fn line_of(words: &[String]) -> Result<Line, CliError> {
    moves_of(words).parse().map_err(|error| no_line(words, error))
}

/// The moves of words; `start` is the position before the first, as in a file of claims.
fn moves_of(words: &[String]) -> String {
    match words {
        [word] if word.trim().eq_ignore_ascii_case("start") => String::new(),
        words => words.join(" "),
    }
}

/// Why these are no moves: what is wrong with them, unless they name a file.
fn no_line(words: &[String], error: LineError) -> CliError {
    let Some(file) = words.iter().find(|word| Path::new(word).is_file()) else {
        return CliError::input(error);
    };
    let file = one_line(file);
    CliError::Usage(format!(
        "'{file}' is a file; this command takes the moves of a line here, as in \"1. e4 e5\""
    ))
}
