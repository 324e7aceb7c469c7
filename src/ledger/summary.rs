//! What a build came to.

use super::Source;
use crate::games::LeftOut;

/// A dump of a build.
#[derive(Clone, Debug)]
pub struct CountedDump {
    /// Its entry.
    pub source: Source,
    /// The first broken and the first illegal game.
    pub examples: Vec<Example>,
}

/// The first game that was left out for a reason that lies in its text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Example {
    /// The reason.
    pub reason: LeftOut,
    /// Which game of the dump, from 1.
    pub game: u64,
    /// Where it starts, in decompressed bytes from the start of the dump.
    pub byte: u64,
    /// Half-moves played before the trouble.
    pub ply: Option<usize>,
}

/// What a build or a join did.
#[derive(Clone, Debug)]
pub struct BuildSummary {
    /// The dumps of this build, in the order read; none of a join.
    pub dumps: Vec<CountedDump>,
    /// Dumps in the finished store.
    pub sources: u64,
    /// Games counted from all of them.
    pub games_counted: u64,
    /// Positions with fewer games than this were dropped.
    pub keep_from: u64,
    /// How many games a position that is absent may have had at the most.
    pub absent_may_lack: u64,
    /// Half-moves in the positions of the finished store.
    pub visits_kept: u64,
    /// Half-moves in the positions dropped now.
    pub visits_dropped: u64,
    /// Positions in the finished store.
    pub positions: u64,
    /// Size of the store in bytes.
    pub store_bytes: u64,
    /// Sorted runs that went to disk.
    pub runs: usize,
    /// Bytes of decompressed text.
    pub text_bytes: u64,
    /// Wall time in seconds.
    pub seconds: f64,
}
