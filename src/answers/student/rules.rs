//! What is asked of a student's games.

use serde::Serialize;
use shakmaty::Color;

use crate::answers::hunt::TESTED_FROM;
use crate::lines::{Prepared, Trap};

/// A position counts if the student had it in so many games, unless asked otherwise.
pub const TIMES: u64 = 3;

/// What to hold the games against.
#[derive(Clone, Copy, Debug)]
pub struct Asked<'a> {
    /// How to judge habits.
    pub settings: &'a Settings,
    /// Whether the question's ratings were asked for; else the student's own decide.
    pub given_level: bool,
    /// Traps.
    pub traps: &'a [Trap],
    /// Where they come from.
    pub traps_from: TrapSource,
    /// Prepared lines, and for which colour.
    pub prepared: Option<(&'a Prepared, Color)>,
}

/// Where the traps come from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum TrapSource {
    /// A file.
    File,
    /// The best findings of a hunt for each colour, over all ratings.
    Hunt,
}

/// The numbers of the judgement, to be printed with it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Settings {
    /// A position counts if the student had it in so many games.
    pub times: u64,
    /// Games of the level that the usual move and each other move need.
    pub tested_from: u64,
    /// The expected share of false ones among the pairs that pass the tests, at the most.
    pub fdr: f64,
    /// Half-moves of each game that are looked at.
    pub half_moves: usize,
}

impl Settings {
    /// How often a move is played that is a habit: once is none, unless once was asked for.
    pub(super) fn repeated(&self) -> u64 {
        self.times.min(2)
    }

    /// The usual ones for counts that reach so far.
    pub fn of(half_moves: usize) -> Settings {
        Settings { times: TIMES, tested_from: TESTED_FROM, fdr: 0.05, half_moves }
    }
}
