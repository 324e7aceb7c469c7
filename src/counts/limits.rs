//! How far a set of counts reaches.

use serde::Serialize;

/// What an answer must say about the counts it rests on.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Limits {
    /// Half-moves counted of each game.
    pub half_moves: u16,
    /// Positions with fewer games than this were dropped.
    pub keep_from: u64,
    /// How many games a position that is absent may have had at the most.
    pub absent_may_lack: u64,
    /// Games counted.
    pub games: u64,
    /// Sides of these games whose player has no name; each counts as a player of its own.
    pub nameless_sides: u64,
    /// Names of the dumps that were cut short and counted as far as they could be read.
    pub incomplete: Vec<String>,
}

impl Limits {
    /// Whether so many players have no name that games look more independent than they are: more
    /// than a tenth.
    pub fn many_nameless(&self) -> bool {
        self.nameless_sides.saturating_mul(5) > self.games
    }
}
