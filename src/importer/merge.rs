//! One partition after another: records, runs and old stores into positions.

use std::collections::VecDeque;
use std::sync::PoisonError;

use crossbeam_channel::{Receiver, Sender};

use super::counting::Records;
use super::gather::{Gathered, cells, groups, names, tallies};
use super::hot::HotSums;
use super::partitions::{KEY_BITS, PARTITIONS, first_key, last_key};
use super::runs::SegmentReader;
use super::sieve::Sieve;
use super::sort::sort_into;
use super::{BuildError, Progress, Stop};
use crate::counts::{Cell, NameId, Opening, OpeningTally, PositionCounts, Record};
use crate::store::StoreError;
use crate::store::codec::{BodyHead, encode_body, encode_cells};
use crate::terms::{CellId, Key, MoveCode};

/// Records sorted at a time where they come from disk: they and their copy stay near the processor.
const SLICE: usize = 1 << 15;
/// Records of a slice from which on hot positions among them are added up.
const MOST: usize = 4 * SLICE;

/// Encoded positions on their way to the store.
#[derive(Default)]
pub(super) struct Piece {
    pub entries: Vec<Entry>,
    pub bodies: Vec<u8>,
    /// Whether the partition ends with this piece.
    pub last: bool,
}

/// One position of a piece.
pub(super) struct Entry {
    pub key: Key,
    pub head: BodyHead,
    /// Where its body ends among the bodies.
    pub end: usize,
    pub opening: Option<Opening>,
}

/// Bytes of bodies in a piece.
const PIECE: usize = 1 << 18;

/// Positions of an old store, partition by partition.
pub(super) struct OldPositions {
    pub pieces: Receiver<Result<OldPiece, StoreError>>,
    /// Games that a position absent from the store may have had.
    pub absent_may_lack: u64,
    waiting: VecDeque<PositionCounts>,
    at_end: bool,
}

/// Some positions of a partition of an old store.
pub(super) struct OldPiece {
    pub positions: VecDeque<PositionCounts>,
    pub last: bool,
}

impl OldPositions {
    pub(super) fn new(
        pieces: Receiver<Result<OldPiece, StoreError>>,
        absent_may_lack: u64,
    ) -> OldPositions {
        OldPositions { pieces, absent_may_lack, waiting: VecDeque::new(), at_end: false }
    }

    fn next_partition(&mut self) {
        self.at_end = false;
    }

    fn peek(&mut self) -> Result<Option<Key>, BuildError> {
        while self.waiting.is_empty() && !self.at_end {
            let piece = self.pieces.recv().map_err(|_| BuildError::Interrupted)??;
            self.waiting = piece.positions;
            self.at_end = piece.last;
        }
        Ok(self.waiting.front().map(|position| position.key))
    }

    fn take(&mut self, key: Key) -> Result<Option<PositionCounts>, BuildError> {
        let here = self.peek()? == Some(key);
        Ok(if here { self.waiting.pop_front() } else { None })
    }
}

/// What was dropped.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Dropped {
    pub visits: u64,
    /// The most games that a dropped position may lack.
    pub may_lack: u64,
}

/// Merges every `step`th partition.
pub(super) struct Merger<'m> {
    pub records: &'m Records,
    pub old: Vec<OldPositions>,
    pub keep_from: u64,
    pub pieces: Sender<Piece>,
    pub stop: &'m Stop,
    pub progress: &'m Progress,
    piece: Piece,
    dropped: Dropped,
    sieve: Sieve,
    /// Of the position at hand; kept for their memory.
    cells: Vec<(MoveCode, CellId, Cell)>,
    ids: Vec<NameId>,
    tallies: Vec<OpeningTally<'m>>,
}

impl<'m> Merger<'m> {
    pub(super) fn new(
        records: &'m Records,
        old: Vec<OldPositions>,
        keep_from: u64,
        pieces: Sender<Piece>,
        progress: &'m Progress,
        stop: &'m Stop,
    ) -> Merger<'m> {
        Merger {
            records,
            old,
            keep_from,
            pieces,
            stop,
            progress,
            piece: Piece::default(),
            dropped: Dropped::default(),
            sieve: Sieve::default(),
            cells: Vec::new(),
            ids: Vec::new(),
            tallies: Vec::new(),
        }
    }

    /// Merges the partitions `first`, `first + step`, ...
    pub(super) fn run(mut self, first: usize, step: usize) -> Result<Dropped, BuildError> {
        let (mut resident, mut sorted) = (Vec::new(), Vec::new());
        for partition in (first..PARTITIONS).step_by(step) {
            self.stop.check()?;
            self.old.iter_mut().for_each(OldPositions::next_partition);
            let mut hot = self.records.hot.of_partition(partition);
            let mut chunks = self.take_resident(partition);
            if self.records.runs.is_empty() {
                self.sort_kept(&mut chunks, KEY_BITS, last_key(partition), &hot, &mut sorted);
                drop(chunks);
                self.positions(&mut sorted, &mut hot)?;
            } else {
                sort_into(chunks.iter().map(Vec::as_slice), KEY_BITS, &mut resident);
                drop(chunks);
                hot.take_from(&mut resident);
                self.merge_runs(partition, &resident, &mut sorted, &mut hot)?;
            }
            debug_assert!(hot.is_empty(), "a record calls for every sum");
            while let Some(key) = self.next_old()? {
                self.combine(key, None)?;
            }
            self.send(true)?;
            self.progress.add_merged();
        }
        Ok(self.dropped)
    }

    /// What stayed in memory of a partition. Each thread takes its own partitions, so that memory
    /// becomes free as positions are made.
    fn take_resident(&self, partition: usize) -> Vec<Vec<Record>> {
        let parts = self.records.partitions.iter();
        let taken =
            parts.map(|part| part.lock().unwrap_or_else(PoisonError::into_inner).take(partition));
        taken.flatten().collect()
    }

    /// Sorts all there is of the positions up to `last` but for what was added up, without most of
    /// those that are too rare to be kept. An old store may have the games that a position lacks
    /// here, so beside one all stay.
    fn sort_kept(
        &mut self,
        chunks: &mut [Vec<Record>],
        key_bits: u32,
        last: Key,
        hot: &HotSums,
        sorted: &mut Vec<Record>,
    ) {
        if self.keep_from > 1 && self.old.is_empty() {
            let wanted = hot.keys_up_to(last);
            self.dropped.visits += self.sieve.leave_out(chunks, self.keep_from, wanted);
        }
        sort_into(chunks.iter().map(Vec::as_slice), key_bits, sorted);
    }

    /// Merges one partition of all runs and of the records that stayed in memory, sorted by key, in
    /// slices of the range of keys.
    fn merge_runs(
        &mut self,
        partition: usize,
        mut resident: &[Record],
        sorted: &mut Vec<Record>,
        hot: &mut HotSums,
    ) -> Result<(), BuildError> {
        let runs = &self.records.runs;
        let on_disk: u64 = runs.iter().map(|run| run.records(partition)).sum();
        let records = on_disk as usize + resident.len();
        let slices = (records / SLICE).max(1).next_power_of_two();
        let key_bits = KEY_BITS - slices.ilog2();
        let mut readers: Vec<SegmentReader> = runs.iter().map(|run| run.open(partition)).collect();
        let (mut scratch, mut slice) = (Vec::new(), Vec::new());
        for number in 0..slices as u64 {
            self.stop.check()?;
            let last = Key(first_key(partition).0 + (number << key_bits) + ((1 << key_bits) - 1));
            let count = resident.partition_point(|record| record.key() <= last);
            slice.clear();
            slice.extend_from_slice(&resident[..count]);
            resident = &resident[count..];
            let mut limit = MOST.max(2 * slice.len());
            for reader in &mut readers {
                while reader.take_up_to(last, limit - slice.len(), &mut scratch, &mut slice)? {
                    sort_into([&slice[..]].into_iter(), key_bits, sorted);
                    hot.take_from(sorted);
                    std::mem::swap(sorted, &mut slice);
                    limit = limit.max(2 * slice.len());
                }
            }
            self.sort_kept(std::slice::from_mut(&mut slice), key_bits, last, hot, sorted);
            self.positions(sorted, hot)?;
        }
        Ok(())
    }

    /// Takes records sorted by position, all of their positions whole but for what was
    /// added up before.
    fn positions(&mut self, sorted: &mut [Record], hot: &mut HotSums) -> Result<(), BuildError> {
        let nothing_else = self.old.is_empty() && hot.is_empty();
        for records in sorted.chunk_by_mut(|a, b| a.key() == b.key()) {
            let key = records[0].key();
            if nothing_else {
                self.keep_or_drop(key, records)?;
                continue;
            }
            while let Some(old) = self.next_old()?.filter(|&old| old < key) {
                self.combine(old, None)?;
            }
            let sum = hot.take(key);
            if self.old.is_empty() && sum.is_none() {
                self.keep_or_drop(key, records)?;
                continue;
            }
            records.sort_unstable_by_key(Record::group_bits);
            let mut gathered = Gathered::from_records(records);
            sum.into_iter().for_each(|sum| gathered.merge(sum));
            self.combine(key, Some(gathered))?;
        }
        Ok(())
    }

    /// The smallest key that waits in an old store.
    fn next_old(&mut self) -> Result<Option<Key>, BuildError> {
        let mut next: Option<Key> = None;
        for old in &mut self.old {
            next = [next, old.peek()?].into_iter().flatten().min();
        }
        Ok(next)
    }

    /// Adds up what all stores and this build know of a position, and keeps it if it has the games.
    fn combine(&mut self, key: Key, gathered: Option<Gathered>) -> Result<(), BuildError> {
        let mut sum = gathered.map(|gathered| gathered.into_counts(&self.records.tags));
        let mut absent = 0;
        for old in &mut self.old {
            match (old.take(key)?, &mut sum) {
                (Some(position), Some(sum)) => sum.merge(position),
                (Some(position), None) => sum = Some(position),
                (None, _) => absent = old.absent_may_lack.saturating_add(absent),
            }
        }
        let Some(mut position) = sum else { return Ok(()) };
        position.may_lack = position.may_lack.saturating_add(absent);
        let games = position.games();
        if games < self.keep_from {
            self.drop_position(games, position.may_lack);
            return Ok(());
        }
        let head = encode_body(&position, &mut self.piece.bodies);
        self.end_entry(key, head, position.opening)
    }

    /// The same for a position of which these records are all there is.
    fn keep_or_drop(&mut self, key: Key, records: &mut [Record]) -> Result<(), BuildError> {
        let games = records.len() as u64;
        if games < self.keep_from {
            self.drop_position(games, 0);
            return Ok(());
        }
        records.sort_unstable_by_key(Record::group_bits);
        self.cells.clear();
        self.cells.extend(cells(records));
        let head = encode_cells(&self.cells, groups(records), &mut self.piece.bodies);
        self.tallies.clear();
        self.tallies.extend(tallies(names(records, &mut self.ids), &self.records.tags));
        let opening = Opening::learn(&self.tallies);
        self.end_entry(key, head, opening)
    }

    fn end_entry(
        &mut self,
        key: Key,
        head: BodyHead,
        opening: Option<Opening>,
    ) -> Result<(), BuildError> {
        let end = self.piece.bodies.len();
        self.piece.entries.push(Entry { key, head, end, opening });
        if end >= PIECE { self.send(false) } else { Ok(()) }
    }

    fn drop_position(&mut self, games: u64, may_lack: u64) {
        self.dropped.may_lack = self.dropped.may_lack.max(may_lack);
        self.dropped.visits += games;
    }

    fn send(&mut self, last: bool) -> Result<(), BuildError> {
        let piece = std::mem::take(&mut self.piece);
        self.pieces.send(Piece { last, ..piece }).map_err(|_| BuildError::Interrupted)
    }
}
