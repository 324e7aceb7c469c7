//! How far a set of counts reaches.

use serde::Serialize;

/// What an answer must say about the counts it rests on.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Limits {
    /// Half-moves counted of each game.
    pub half_moves: u16,
    /// Positions with fewer games than this were dropped.
    pub keep_from: u64,
    /// How many games a position that is absent may have had at the most.
    pub absent_may_lack: u64,
    /// Names of the dumps that were cut short and counted as far as they could be read.
    pub incomplete: Vec<String>,
}
