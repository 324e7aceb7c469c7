//! Why a text is no trap.

use std::fmt;

use shakmaty::Color;
use thiserror::Error;

use super::limits::{MOST_IN_TRAPS, MOST_SLIPS, MOST_TRAPS, Shown};
use super::line_error::{LineError, side_name};

/// Why a game or a line is no trap, and which one it is.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[error("{game}: {reason}")]
pub struct TrapError {
    /// Where the trouble is.
    pub game: GameSource,
    /// What it is.
    pub reason: TrapReason,
}

/// Where a trap or a line was read from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum GameSource {
    /// A game of a PGN text.
    Game {
        /// Counted from 1.
        number: usize,
        /// Its Event tag.
        name: Option<String>,
    },
    /// A line as an argument.
    Line,
    /// A PGN text as a whole.
    Text,
}

impl fmt::Display for GameSource {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            GameSource::Game { number, name: Some(name) } => {
                write!(f, "game {number} ({})", Shown(name))
            }
            GameSource::Game { number, name: None } => write!(f, "game {number}"),
            GameSource::Line => f.write_str("the line"),
            GameSource::Text => f.write_str("the text"),
        }
    }
}

/// What keeps a game or a line from being a trap.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[non_exhaustive]
pub enum TrapReason {
    /// A text without a game.
    #[error("there is no game in it")]
    NoGame,
    /// A game without moves.
    #[error("there is no move in it")]
    NoMoves,
    /// A line that begins with `[` and is no tag pair.
    #[error("the tag '{}' cannot be read: write [Name \"value\"]", Shown(.0))]
    Tag(String),
    /// A Setter tag that names no side.
    #[error("the Setter tag says '{}': write White or Black", Shown(.0))]
    Setter(String),
    /// A game from another position than the initial one.
    #[error("a trap starts from the initial position, but the game has a {0} tag")]
    NotFromStart(&'static str),
    /// A game by other rules.
    #[error("the Variant tag says '{}': only standard chess is counted", Shown(.0))]
    Variant(String),
    /// More slips than a game may have.
    #[error("{0} moves are marked as slips: the limit is {MOST_SLIPS} a game")]
    TooManySlips(usize),
    /// With it there are more traps than a text may have.
    #[error("with it there are more than {MOST_TRAPS} traps, the limit for a file")]
    TooManyTraps,
    /// With it the traps have more half-moves together than those of a text may have.
    #[error(
        "with it the traps have more than {MOST_IN_TRAPS} half-moves together, each counted from its \
         first move on: part the file into several"
    )]
    TooManyHalfMoves,
    /// Moves that cannot be read or played.
    #[error(transparent)]
    Line(LineError),
    /// No move is marked, or none of the victim that the Setter tag implies.
    #[error("no move{} is marked as the slip: write ?? behind it", of_side(.victim))]
    NoSlip {
        /// The victim, where a tag names the setter.
        victim: Option<Color>,
    },
    /// Slips of both sides, and nothing says who sets the trap.
    #[error(
        "slips of both sides are marked, {white} and {black}: mark those of one side only, or \
         name the setter with the tag [Setter \"White\"] or [Setter \"Black\"]"
    )]
    BothSides {
        /// White's first slip, with its number.
        white: String,
        /// Black's first slip, with its number.
        black: String,
    },
    /// A slip that ends its line.
    #[error("nothing follows the slip {slip} (half-move {half_move}): write the refutation")]
    NoRefutation {
        /// The slip, with its number.
        slip: String,
        /// The half-move in its game, from 1.
        half_move: usize,
    },
}

fn of_side(side: &Option<Color>) -> String {
    side.map_or(String::new(), |side| format!(" of {}", side_name(side)))
}
