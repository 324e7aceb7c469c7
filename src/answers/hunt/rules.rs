//! What is hunted for.

use std::collections::HashMap;

use serde::Serialize;
use shakmaty::{Color, Position};

use crate::answers::Question;
use crate::lines::{Line, Prepared, PreparedPosition};
use crate::terms::{Key, MoveCode};

/// What to look for, and where.
#[derive(Clone, Debug, PartialEq)]
pub struct Hunt {
    /// Who lays the traps.
    pub setter: Color,
    /// The line from the initial position behind which to look.
    pub line: Line,
    /// A position is tested if victims moved in it in so many games.
    pub reached: u64,
    /// A move is tested if it has this share of the victims' moves there.
    pub min_share: f64,
    /// A slip must lose more than this, in points a game, beyond chance.
    pub null_drop: f64,
    /// The expected share of false ones among the moves that pass the tests, at the most.
    pub fdr: f64,
    /// A finding is shown if it loses at least this much, in points a game.
    pub min_drop: f64,
    /// How many findings to show.
    pub top: usize,
    /// The setter's moves, where they are fixed.
    pub repertoire: Option<Repertoire>,
}

/// A position was in order for the victim if the moves that are no slips have at least this edge.
pub(super) const IN_ORDER: f64 = -0.05;

/// A move is tested from so many games on, and if the others of its position have as many together.
/// Games, not effective ones, and no option: what belongs to the family decides every q, and no q
/// must depend on which figures are hidden.
pub(in crate::answers) const TESTED_FROM: u64 = 50;

impl Hunt {
    /// The usual hunt for a setter after a line.
    pub fn new(setter: Color, line: Line) -> Hunt {
        Hunt {
            setter,
            line,
            reached: 200,
            min_share: 0.05,
            null_drop: 0.05,
            fdr: 0.05,
            min_drop: 0.10,
            top: 20,
            repertoire: None,
        }
    }

    pub(super) fn victim(&self) -> Color {
        self.setter.other()
    }

    pub(crate) fn settings(&self, question: &Question) -> Settings {
        Settings {
            reached: self.reached,
            tested_from: TESTED_FROM,
            min_sample: question.min_sample,
            min_share: self.min_share,
            null_drop: self.null_drop,
            fdr: self.fdr,
            min_drop: self.min_drop,
            top: self.top,
        }
    }
}

/// The numbers of a hunt, to be printed with its answer.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Settings {
    /// Games a position needs.
    pub reached: u64,
    /// Games that the move, and all others together, need.
    pub tested_from: u64,
    /// A figure that rests on fewer games of different players is thin or withheld.
    pub min_sample: u64,
    /// Share that the move needs.
    pub min_share: f64,
    /// The null drop, points a game.
    pub null_drop: f64,
    /// The promised false discovery rate.
    pub fdr: f64,
    /// The smallest drop shown, points a game.
    pub min_drop: f64,
    /// Findings shown at the most.
    pub top: usize,
}

/// The setter's moves by position; several where the repertoire gives several.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Repertoire {
    moves: HashMap<Key, Vec<MoveCode>>,
}

impl Repertoire {
    /// The moves of `setter` in a file of prepared lines.
    pub fn of(setter: Color, file: &Prepared) -> Repertoire {
        let its = |at: &&PreparedPosition| at.board.turn() == setter && !at.moves.is_empty();
        let codes = |at: &PreparedPosition| at.moves.iter().map(|mv| MoveCode::of(mv.mv)).collect();
        let moves = file.positions().iter().filter(its).map(|at| (at.key, codes(at)));
        Repertoire { moves: moves.collect() }
    }

    /// Positions in which it says what to play.
    pub(super) fn positions(&self) -> usize {
        self.moves.len()
    }

    /// The moves to choose from in a position, if it is in the repertoire.
    pub(super) fn at(&self, key: Key) -> Option<&[MoveCode]> {
        self.moves.get(&key).map(Vec::as_slice)
    }
}
