//! Why a text that a person wrote cannot be used, and where in it.

use std::fmt;

use shakmaty::Color;
use thiserror::Error;

use super::limits::{MOST_IN_TRAPS, MOST_PREPARED, MOST_SLIPS, MOST_TRAPS, Shown};
use super::line_error::{LineError, side_name};

/// What is wrong with a text, and where in it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TextError<R> {
    /// Where the trouble is.
    pub place: TextPlace,
    /// What it is.
    pub reason: R,
}

/// Why a game or a line is no trap, or a file holds no prepared lines.
pub type GameError = TextError<GameReason>;

/// A part of a text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum TextPlace {
    /// A game of a PGN text.
    Game {
        /// Counted from 1.
        number: usize,
        /// Its Event tag.
        name: Option<String>,
    },
    /// A line of a text, counted from 1.
    Row(usize),
    /// A line of moves as an argument.
    Line,
    /// The text as a whole.
    Whole,
}

impl<R: fmt::Display> TextError<R> {
    /// The message about a text that is kept in a file.
    pub fn in_file(&self, file: &str) -> String {
        let parted = if self.place == TextPlace::Whole { ": " } else { ", " };
        format!("{file}{parted}{self}")
    }
}

impl<R: fmt::Display> fmt::Display for TextError<R> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.place {
            TextPlace::Game { number, name: Some(name) } => {
                write!(f, "game {number} ({}): ", Shown(name))?;
            }
            TextPlace::Game { number, name: None } => write!(f, "game {number}: ")?,
            TextPlace::Row(number) => write!(f, "line {number}: ")?,
            TextPlace::Line => f.write_str("the line: ")?,
            TextPlace::Whole => {}
        }
        self.reason.fmt(f)
    }
}

impl<R: fmt::Display + fmt::Debug> std::error::Error for TextError<R> {}

/// What keeps a game, or a line, from being a trap or a prepared line.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[non_exhaustive]
pub enum GameReason {
    /// A text without a game.
    #[error(
        "no game in it: a game begins with a tag such as [Event \"name\"] or with its first move"
    )]
    NoGame,
    /// A trap without moves.
    #[error("no move in it: write the moves of the trap, with ?? after the slip")]
    NoMoves,
    /// Prepared lines without a move of the side that they are for.
    #[error("no move by {0} in it: name the other colour, or the file of lines for {0}")]
    NoMovesBy(Color),
    /// A line that begins with `[` and is no tag pair.
    #[error("the tag '{}' cannot be read: write [Name \"value\"]", Shown(.0))]
    Tag(String),
    /// A game whose moves go on behind an empty line.
    #[error(
        "an empty line ends a game; take it out at line {0} if the moves below it belong to this game"
    )]
    Torn(usize),
    /// A tag that must name a side and names none.
    #[error("the {} tag says '{}': write White or Black", .0, Shown(.1))]
    Side(&'static str, String),
    /// A game from another position than the initial one.
    #[error("it has a {0} tag: write the moves from the initial position on, without the tag")]
    NotFromStart(&'static str),
    /// A game by other rules.
    #[error("the Variant tag says '{}': only standard chess is counted", Shown(.0))]
    Variant(String),
    /// More slips than a game may have.
    #[error("{0} moves are marked as slips: the limit is {MOST_SLIPS} a game")]
    TooManySlips(usize),
    /// With it there are more traps than a text may have.
    #[error(
        "with it there are more than {MOST_TRAPS} traps, the limit for a file: split it into several"
    )]
    TooManyTraps,
    /// With it the traps have more half-moves together than those of a text may have.
    #[error(
        "with it the traps have more than {MOST_IN_TRAPS} half-moves together, each counted from its \
         first move on: split it into several files"
    )]
    TooLongTraps,
    /// With it prepared lines have more half-moves together than those of a text may have.
    #[error(
        "with it the lines have more than {MOST_PREPARED} half-moves together, each counted from its \
         first move on: split it into several files"
    )]
    TooLongLines,
    /// Moves that cannot be read or played.
    #[error(transparent)]
    Line(LineError),
    /// No move is marked, or none of the victim that the Setter tag implies.
    #[error("no move{} is marked as the slip: write ?? after it", of_side(.victim))]
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
