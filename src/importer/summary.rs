//! What a build came to.

use super::DumpReport;

/// What a build did.
#[derive(Clone, Debug)]
pub struct BuildSummary {
    /// The dumps of this build, in the order read.
    pub dumps: Vec<DumpReport>,
    /// Half-moves in the positions of the finished store.
    pub visits_kept: u64,
    /// Half-moves in the positions dropped now.
    pub visits_dropped: u64,
    /// Positions in the finished store.
    pub positions: u64,
    /// Positions dropped because they have too few games.
    pub positions_dropped: u64,
    /// Size of the store in bytes.
    pub store_bytes: u64,
    /// Sorted runs that went to disk.
    pub runs: usize,
    /// Bytes of decompressed text.
    pub text_bytes: u64,
    /// Wall time in seconds.
    pub seconds: f64,
}
