//! What to build, checked.

use std::path::PathBuf;

use super::names::MOST_BYTES;
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
    /// Threads that decompress and replay games.
    pub threads: usize,
    /// Where sorted runs go; beside the store if not given.
    pub temp_dir: Option<PathBuf>,
    /// Count what can be read of a broken dump instead of stopping.
    pub keep_going: bool,
}

impl Plan {
    /// The same with no more threads than the memory feeds.
    pub(super) fn within_memory(&self) -> Plan {
        let most = (self.memory.0 / THREAD) as usize;
        Plan { threads: self.threads.clamp(1, most), ..self.clone() }
    }

    /// The share for records waiting to be sorted: what is left after the decompressor's window,
    /// a batch for each thread, opening tags, the space to sort in and the program itself.
    pub(super) fn for_records(&self) -> usize {
        let window = self.sources.iter().map(Place::window).max().unwrap_or(0);
        let others = REST + MOST_BYTES as u64 + window.saturating_sub(USUAL_WINDOW);
        (self.memory.0.saturating_sub(others) / 10 * 8) as usize
    }

    /// The share for sums of positions with very many records, once there are runs.
    pub(super) fn for_hot_sums(&self) -> usize {
        self.for_records() / 10
    }
}

/// The memory of a build and what it is spent on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Memory(u64);

const MIB: u64 = 1 << 20;
/// What a thread takes at the least: its partitions, its batch, space to sort in.
const THREAD: u64 = 32 * MIB;
/// All but records and opening tags, with a window of [`USUAL_WINDOW`] at most.
const REST: u64 = 80 * MIB;
const USUAL_WINDOW: u64 = 8 * MIB;

impl Memory {
    /// The least that a build can work with.
    pub const LEAST: Memory = Memory(256 * MIB);
    /// Used if nothing is said.
    pub const DEFAULT: Memory = Memory(2048 * MIB);
    /// Bytes of text in a batch.
    pub const BATCH: usize = 2 << 20;

    /// `None` below [`Memory::LEAST`].
    pub fn new(bytes: u64) -> Option<Memory> {
        (bytes >= Self::LEAST.0).then_some(Memory(bytes))
    }

    /// The whole, in bytes.
    pub fn bytes(self) -> u64 {
        self.0
    }

    /// Segments of runs that are open at a time.
    pub(super) fn for_segments(self) -> usize {
        (self.0 / 8) as usize
    }

    /// Pages of each of `count` old stores.
    pub(super) fn for_old_stores(self, count: usize) -> usize {
        (self.0 / 16 / count.max(1) as u64).clamp(MIB, 128 * MIB) as usize
    }

    /// Pages of the new store that wait to be written.
    pub(super) fn for_new_store(self) -> usize {
        (self.0 / 8).clamp(16 * MIB, 256 * MIB) as usize
    }

    /// The longest batch, and so the longest game that is read whole.
    pub(super) fn longest_batch(self) -> usize {
        (self.0 / 16).clamp(16 * MIB, 256 * MIB) as usize
    }
}
