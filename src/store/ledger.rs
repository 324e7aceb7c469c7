//! Which dumps are in a store.

use serde::{Deserialize, Serialize};

use crate::games::LeftOutTally;
use crate::source::{DumpHash, FileHash};

/// One dump that was counted.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Source {
    /// Its file name, or what stands for stdin.
    pub name: String,
    /// What it is known by.
    pub hash: DumpHash,
    /// Length in bytes, decompressed.
    pub bytes: u64,
    /// Length in bytes of the file, where there was one.
    pub file_bytes: Option<u64>,
    /// The file itself, so that the same file can be refused before it is decompressed.
    pub file_hash: Option<FileHash>,
    /// Games read.
    pub games_read: u64,
    /// Games counted.
    pub games_counted: u64,
    /// Sides of the games counted whose player has no name.
    pub nameless_sides: u64,
    /// Games left out by reason.
    pub left_out: LeftOutTally,
    /// Date of the earliest game counted, `2031-05-17`.
    pub first: Option<String>,
    /// Date of the latest game counted.
    pub last: Option<String>,
    /// Whether it was read to its end.
    pub complete: bool,
}

impl Source {
    /// Whether every game read was either counted or left out, and has no more than two sides.
    pub fn adds_up(&self) -> bool {
        let counted = Some(self.games_counted);
        let sum = self.left_out.rows().fold(counted, |sum, (_, games)| sum?.checked_add(games));
        sum == Some(self.games_read) && self.nameless_sides.div_ceil(2) <= self.games_counted
    }
}
