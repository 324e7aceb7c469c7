//! What all games of a dump share.

use crate::habits::Habits;
use crate::openings::Book;
use crate::planted::Planted;
use crate::players::Players;
use crate::shape::Month;

/// Games a chunk; each chunk has its own random stream, so this number is part of what
/// a seed means.
pub const CHUNK: u64 = 1000;

/// Everything that the games of one dump share.
pub struct League {
    pub seed: u64,
    pub games: u64,
    pub month: Month,
    /// Shares in 1/10,000.
    pub clocks: u32,
    pub evals: u32,
    pub book: Book,
    pub traps: Planted,
    pub players: Players,
    pub habits: Habits,
    /// Whose games alone are written, all else being the same; all if nobody is named.
    pub only: Option<String>,
}
