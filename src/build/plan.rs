//! What to build, checked.

use std::path::PathBuf;

use crate::games::Rules;
use crate::source::Place;

/// The checked settings of a build.
#[derive(Clone, Debug)]
pub struct Plan {
    /// The dumps to read, in this order.
    pub sources: Vec<Place>,
    /// The store to make or to add to.
    pub store: PathBuf,
    /// Which games count and how far into them.
    pub rules: Rules,
    /// Positions with fewer games are dropped at the end.
    pub keep_from: u64,
    /// How much memory the process may use.
    pub memory: Memory,
    /// Threads that replay games.
    pub threads: usize,
    /// Where sorted runs go; beside the store if not given.
    pub temp_dir: Option<PathBuf>,
    /// Count what can be read of a broken dump instead of stopping.
    pub keep_going: bool,
}

/// The memory of a build and what it is spent on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Memory(u64);

const MIB: u64 = 1 << 20;

impl Memory {
    /// The least that a build can work with.
    pub const LEAST: Memory = Memory(256 * MIB);
    /// Used if nothing is said.
    pub const DEFAULT: Memory = Memory(2048 * MIB);
    /// Bytes of text in a batch.
    pub const BATCH: usize = 1 << 20;

    /// `None` below [`Memory::LEAST`].
    pub fn new(bytes: u64) -> Option<Memory> {
        (bytes >= Self::LEAST.0).then_some(Memory(bytes))
    }

    /// The whole, in bytes.
    pub fn bytes(self) -> u64 {
        self.0
    }

    /// The share for records waiting to be sorted: what is left after a decompressor's window,
    /// batches on their way, the space to sort in and the program itself.
    pub(super) fn for_records(self) -> usize {
        ((self.0 - 80 * MIB) / 10 * 8) as usize
    }

    /// Pages of each of `count` old stores.
    pub(super) fn for_old_stores(self, count: usize) -> usize {
        (self.0 / 16 / count.max(1) as u64).clamp(MIB, 128 * MIB) as usize
    }

    /// Pages of the new store that wait to be written.
    pub(super) fn for_new_store(self) -> usize {
        (self.0 / 10).clamp(16 * MIB, 64 * MIB) as usize
    }

    /// The longest batch, and so the longest game that is read whole.
    pub(super) fn longest_batch(self) -> usize {
        (self.0 / 16).clamp(16 * MIB, 256 * MIB) as usize
    }
}
