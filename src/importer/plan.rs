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
    /// All games of some dumps, as far as they are counted by default, by one thread.
    pub fn new(store: impl Into<PathBuf>, sources: Vec<Place>) -> Plan {
        Plan {
            sources,
            store: store.into(),
            rules: Rules::default(),
            keep_from: 5,
            memory: Memory::DEFAULT,
            threads: 1,
            temp_dir: None,
            keep_going: false,
        }
    }

    /// The same with no more threads than the memory feeds.
    pub(super) fn within_memory(&self) -> Plan {
        let left = self.memory.0 - beyond_usual(self.known_window().min(self.most_window()));
        let most = (left / THREAD) as usize;
        Plan { threads: self.threads.clamp(1, most.max(1)), ..self.clone() }
    }

    /// The largest window that the dumps ask for, in bytes, as far as it is known beforehand.
    pub(super) fn known_window(&self) -> u64 {
        self.sources.iter().map(Place::window).max().unwrap_or(0)
    }

    /// The largest window that leaves room for all else.
    pub(super) fn most_window(&self) -> u64 {
        self.memory.0 - (REST - USUAL_WINDOW) - MOST_BYTES as u64
    }

    /// The share for records waiting to be sorted, beside the windows that are known beforehand.
    pub(super) fn for_records(&self) -> usize {
        self.for_records_beside(Unpacking { window: self.known_window(), frames: 0 })
    }

    /// What is left after decompressing, a batch for each thread, opening tags, the space to sort
    /// in and the program itself.
    pub(super) fn for_records_beside(&self, unpacking: Unpacking) -> usize {
        // Each thread has some frames, and the next ones are read.
        let frames = unpacking.frames.saturating_sub(Memory::BATCH) * (self.threads + 1);
        let others = REST + MOST_BYTES as u64 + beyond_usual(unpacking.window) + frames as u64;
        (self.memory.0.saturating_sub(others) / 10 * 8) as usize
    }

    /// Text of a zstd frame, in bytes, that one worker decompresses by itself.
    pub(super) fn for_whole_frames(&self) -> usize {
        (self.memory.0 / 8 / self.threads as u64).min(64 * MIB) as usize
    }

    /// The share for sums of positions with very many records, once there are runs.
    pub(super) fn for_hot_sums(&self) -> usize {
        self.for_records() / 10
    }
}

/// What decompressing needs, in bytes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Unpacking {
    /// The largest window.
    pub window: u64,
    /// The most that whole frames take, compressed and not.
    pub frames: usize,
}

/// What a window takes that [`REST`] does not hold.
fn beyond_usual(window: u64) -> u64 {
    window.saturating_sub(USUAL_WINDOW)
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
    pub const BATCH: usize = 1 << 19;

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
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plan(memory: Memory, threads: usize) -> Plan {
        Plan { memory, threads, ..Plan::new("", Vec::new()) }
    }

    #[test]
    fn a_large_window_takes_its_room_from_the_records() {
        let plan = plan(Memory::LEAST, 2);
        let beside = |window: u64, frames: usize| {
            let unpacking = Unpacking { window: window * MIB, frames: frames << 20 };
            plan.for_records_beside(unpacking) as u64 / MIB
        };
        let share = |window: u64| beside(window, 0);
        assert_eq!((share(0), share(8), share(128)), (115, 115, 19));
        assert_eq!(plan.most_window(), 152 * MIB);
        assert_eq!(share(152), 0);
        assert_eq!((beside(0, 2), beside(0, 12), beside(0, 50)), (111, 87, 0));
    }

    #[test]
    fn there_are_no_more_threads_than_the_memory_feeds() {
        assert_eq!(plan(Memory::LEAST, 100).within_memory().threads, 8);
        assert_eq!(plan(Memory::DEFAULT, 3).within_memory().threads, 3);
    }
}
