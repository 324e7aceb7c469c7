//! Games of a student, as far as answers ask: moves by position, and what distinguishes a game
//! from others.

use serde::Serialize;
use shakmaty::Color;

use crate::terms::{Key, MoveCode, Outcome, Rating};

/// Games of one student that are taken, and how many are not. Nothing here names an opponent.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct StudentGames {
    /// The student, as asked.
    pub name: String,
    /// Other spellings, as asked.
    pub also: Vec<String>,
    /// Games read.
    pub read: u64,
    /// Those that are taken, in order.
    pub taken: Vec<OwnGame>,
    /// Those that are not.
    pub left_out: NotTaken,
    /// Games taken that are in the text before, word for word.
    pub repeated: u64,
}

/// One game of a student.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OwnGame {
    /// The student's side.
    pub colour: Color,
    /// The result, from the student's view.
    pub outcome: Outcome,
    /// The student's rating.
    pub rating: Option<Rating>,
    /// Its number in the file, from 1.
    pub number: u64,
    /// What the Site tag says; empty if nothing.
    pub site: String,
    /// What the Event tag says; empty if nothing.
    pub event: String,
    /// The date, if it is whole, as `2031-05-17`.
    pub date: Option<String>,
    /// The first half-moves.
    pub plies: Vec<OwnPly>,
    /// The position after them.
    pub end: Key,
}

/// One half-move.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct OwnPly {
    /// The position in which it was played.
    pub key: Key,
    /// The move.
    pub code: MoveCode,
    /// Whether the game was not in this position before.
    pub first_visit: bool,
}

impl OwnGame {
    /// Whether the half-move at `ply`, from 0, is the student's.
    pub fn is_own(&self, ply: usize) -> bool {
        ply.is_multiple_of(2) == self.colour.is_white()
    }
}

/// Games that are not taken, by the first reason that applies.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
pub struct NotTaken {
    /// The student is neither player.
    pub other_players: u64,
    /// Both sides have the student's name.
    pub both_sides: u64,
    /// Another game than standard chess, or from another position.
    pub variant: u64,
    /// Neither the Result tag nor the end of the moves is a result.
    pub no_result: u64,
    /// Cut off, too long, a comment or a variation without end, or an end marker that is missing or
    /// contradicts the Result tag.
    pub broken: u64,
    /// No move was played.
    pub no_moves: u64,
    /// An illegal, ambiguous or unreadable move among those looked at.
    pub illegal_move: u64,
}

impl NotTaken {
    /// Every reason with its count, in order.
    pub fn rows(&self) -> [(&'static str, u64); 7] {
        [
            ("other_players", self.other_players),
            ("both_sides", self.both_sides),
            ("variant", self.variant),
            ("no_result", self.no_result),
            ("broken", self.broken),
            ("no_moves", self.no_moves),
            ("illegal_move", self.illegal_move),
        ]
    }

    /// All of them.
    pub fn total(&self) -> u64 {
        self.rows().iter().map(|(_, games)| games).sum()
    }
}
