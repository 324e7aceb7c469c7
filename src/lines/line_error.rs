//! Why a text is no line, and where.

use std::fmt;

use shakmaty::{Chess, Color, Position};
use thiserror::Error;

use super::limits::{MOST_HALF_MOVES, MOST_MOVES, Shown, end_of};
use super::spelling::Misread;

/// Why a text is no line.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[non_exhaustive]
pub enum LineError {
    /// A FEN that cannot be read, or that describes a position which cannot arise.
    #[error("no legal position in the FEN '{}': {reason}", Shown(.fen))]
    Fen {
        /// As written.
        fen: String,
        /// What is wrong with it.
        reason: String,
    },
    /// A word that is no legal move in its place.
    #[error(transparent)]
    Move(Box<MoveError>),
    /// A move number that is not the one of the move behind it.
    #[error(transparent)]
    Number(Box<NumberError>),
    /// More half-moves than a line may have.
    #[error(
        "a line goes on after half-move {MOST_HALF_MOVES}: the limit is {MOST_HALF_MOVES} half-moves a line"
    )]
    TooLong,
    /// More moves in all variations than a game may have.
    #[error(
        "it holds more than {MOST_MOVES} moves with its variations: split it into several games"
    )]
    TooManyMoves,
    /// A brace comment without its end.
    #[error("a comment is not closed: '}}' is missing")]
    OpenComment,
    /// Brackets of variations that do not match.
    #[error("the brackets of the variations do not match")]
    Brackets,
}

/// A word that is no legal move in its place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MoveError {
    /// As written.
    pub written: String,
    /// Where it is.
    pub place: Place,
    /// What is wrong with it, and what could be meant.
    pub misread: Misread,
}

impl std::error::Error for MoveError {}

impl fmt::Display for MoveError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let MoveError { written, place, misread } = self;
        let written = Shown(written);
        match misread {
            Misread::Ambiguous(_) => write!(f, "'{written}' is ambiguous at {place}; {misread}"),
            _ => write!(f, "no legal move '{written}' at {place}; {misread}"),
        }
    }
}

/// A move number that is wrong in its place, or has no move behind it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NumberError {
    /// As written, with its full stops.
    pub written: String,
    /// Whether no move follows it.
    pub alone: bool,
    /// The move behind it.
    pub place: Place,
}

impl std::error::Error for NumberError {}

impl fmt::Display for NumberError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let NumberError { written, alone, place } = self;
        let (written, dots) = (Shown(written), place.mover.fold_wb(".", "..."));
        if *alone {
            return write!(f, "no move follows the number '{written}' at {place}");
        }
        write!(f, "wrong number '{written}' at {place}; write {}{dots} or none", place.number)
    }
}

/// A turn of a game, in the words a player uses.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Place {
    /// Whose turn it is.
    pub mover: Color,
    /// The number of the move, from 1.
    pub number: u32,
    /// The moves before, as text; empty where they are not known.
    pub after: String,
}

impl Place {
    /// The number of the half-move in its game, from 1.
    pub fn half_move(&self) -> u32 {
        self.number.saturating_mul(2) - u32::from(self.mover.is_white())
    }

    pub(super) fn of(position: &Chess, after: String) -> Place {
        Place { mover: position.turn(), number: position.fullmoves().get(), after }
    }
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Place { mover, number, .. } = self;
        write!(f, "{}'s move {number} (half-move {})", side_name(*mover), self.half_move())?;
        if self.after.is_empty() { Ok(()) } else { write!(f, " after {}", end_of(&self.after)) }
    }
}

/// A side as it is in sentences and tags: White or Black.
pub(super) fn side_name(side: Color) -> &'static str {
    side.fold_wb("White", "Black")
}
