//! Which dumps are in a store.

use serde::{Deserialize, Serialize};

use super::{DumpHash, Fingerprint, GameTally};

/// One dump that was counted.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Source {
    /// Its file name, or what stands for stdin.
    pub name: String,
    /// What it is known by.
    pub hash: DumpHash,
    /// What its bytes turned out to be.
    #[serde(flatten)]
    pub fingerprint: Fingerprint,
    /// What became of its games.
    #[serde(flatten)]
    pub games: GameTally,
    /// Whether it was read to its end.
    pub complete: bool,
}
