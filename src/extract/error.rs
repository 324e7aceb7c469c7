//! What ends an extraction early.

use std::io;

use thiserror::Error;

use crate::lines::MOST_OWN_GAMES;
use crate::source::SourceError;

/// Why games could not be extracted.
#[derive(Debug, Error)]
#[non_exhaustive]
pub enum ExtractError {
    /// A dump.
    #[error(transparent)]
    Source(#[from] SourceError),
    /// Writing the games.
    #[error(transparent)]
    Output(io::Error),
    /// A student without a game.
    #[error("no game of '{name}' in {source_name}; {}", offered(.nearest, *.names))]
    NoSuchStudent {
        /// The name as asked.
        name: String,
        /// The text that was read.
        source_name: String,
        /// How many names it has.
        names: usize,
        /// Those that are near that one.
        nearest: Vec<String>,
    },
    /// More games than a person plays.
    #[error("'{name}' has more than {MOST_OWN_GAMES} games there: split it into several files")]
    TooManyGames {
        /// The name as asked.
        name: String,
    },
    /// Asked to stop.
    #[error("stopped")]
    Interrupted,
}

/// The names to try instead.
fn offered(nearest: &[String], names: usize) -> String {
    let quoted: Vec<String> = nearest.iter().map(|name| format!("'{name}'")).collect();
    match quoted.as_slice() {
        [] if names == 0 => "its games name nobody".into(),
        [] => "no name there is near it; write it as in the White or Black tag".into(),
        [name] => format!("is it {name}?"),
        [others @ .., last] => format!("is it {} or {last}?", others.join(", ")),
    }
}
