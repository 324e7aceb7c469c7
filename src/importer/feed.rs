//! All dumps of a plan as one stream of batches, handed out in turn.
//!
//! Whoever wants a batch decompresses it: there is no thread that only reads, so the processors are
//! busy whatever decompressing and counting cost, and a batch is counted where it is still in the cache.

use std::collections::{HashMap, VecDeque};
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, Mutex, PoisonError};

use super::dumps;
use super::plan::Memory;
use super::{BuildError, Plan, Progress, Stop};
use crate::ledger::DumpHash;
use crate::source::{Batch, Dumps, Fed, Opening, ReadDump, Windows};
use crate::store::Store;

/// A batch and the dump it is from.
pub(super) struct DumpBatch {
    /// Place of the dump in the plan.
    pub dump: usize,
    /// The batch.
    pub batch: Batch,
    /// What was found in the dump so far; whoever has looked into the batch lets go of it.
    pub found: Arc<Mutex<Found>>,
}

/// The games of a dump, or of a part of it.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Found {
    /// How many.
    pub games: u64,
    /// The sum of their hashes.
    pub hash: u128,
}

impl Found {
    pub(super) fn add(&mut self, other: Found) {
        self.games += other.games;
        self.hash = self.hash.wrapping_add(other.hash);
    }
}

/// The dumps, shared by all workers.
pub(super) struct Feed<'p> {
    reading: Mutex<Reading<'p>>,
    largest_window: Arc<AtomicU64>,
}

impl<'p> Feed<'p> {
    pub(super) fn new(
        plan: &'p Plan,
        old: Option<&'p Store>,
        progress: &'p Progress,
        stop: &'p Stop,
    ) -> Feed<'p> {
        let largest_window = Arc::new(AtomicU64::new(plan.known_window()));
        let windows = Windows { allowed: plan.most_window(), largest: Arc::clone(&largest_window) };
        let opening =
            Opening { raw_bytes: progress.raw_bytes_counter(), stop: stop.flag(), windows };
        let reading = Mutex::new(Reading {
            plan,
            old,
            progress,
            stop,
            dumps: Dumps::new(&plan.sources, opening, Memory::BATCH, plan.keep_going),
            found: Arc::default(),
            ended: VecDeque::new(),
            known: HashMap::new(),
        });
        Feed { reading, largest_window }
    }

    /// The next batch, written into an old one's memory; `None` behind the last dump. Whoever comes
    /// after an error is told to stop.
    pub(super) fn next(&self, buffer: Vec<u8>) -> Result<Option<DumpBatch>, BuildError> {
        let mut reading = self.reading.lock().unwrap_or_else(PoisonError::into_inner);
        let next = reading.next(buffer);
        if next.is_err() {
            reading.stop.set();
        }
        next
    }

    /// The largest window of a decompressor up to now, in bytes.
    pub(super) fn largest_window(&self) -> u64 {
        self.largest_window.load(Ordering::Relaxed)
    }

    /// What was read, and by what each dump is known, once nobody looks into it any more.
    pub(super) fn into_read(self) -> Result<Vec<(ReadDump, DumpHash)>, BuildError> {
        let mut reading = self.reading.into_inner().unwrap_or_else(PoisonError::into_inner);
        reading.admit_ended()?;
        let mut hashes = vec![DumpHash(0); reading.dumps.read().len()];
        reading.known.iter().for_each(|(&hash, &dump)| hashes[dump] = hash);
        Ok(reading.dumps.read().iter().copied().zip(hashes).collect())
    }
}

struct Reading<'p> {
    plan: &'p Plan,
    old: Option<&'p Store>,
    progress: &'p Progress,
    stop: &'p Stop,
    dumps: Dumps<'p>,
    /// In the open dump.
    found: Arc<Mutex<Found>>,
    ended: VecDeque<Ended>,
    /// The dumps that were looked through, by what they are known by.
    known: HashMap<DumpHash, usize>,
}

/// A dump that was read to its end while others still look into it.
struct Ended {
    found: Arc<Mutex<Found>>,
    dump: usize,
}

impl Reading<'_> {
    fn next(&mut self, mut buffer: Vec<u8>) -> Result<Option<DumpBatch>, BuildError> {
        loop {
            self.stop.check()?;
            self.admit_ended()?;
            self.progress.set_file(self.dumps.read().len());
            let fed = self.dumps.next(buffer).map_err(|error| self.stop.or(error))?;
            self.progress.set_text_bytes(self.dumps.text_bytes());
            match fed {
                None => return Ok(None),
                Some(Fed::Batch(dump, batch)) => {
                    let found = Arc::clone(&self.found);
                    return Ok(Some(DumpBatch { dump, batch, found }));
                }
                Some(Fed::End(dump)) => {
                    let found = std::mem::take(&mut self.found);
                    self.ended.push_back(Ended { found, dump });
                    buffer = Vec::new();
                }
            }
        }
    }

    /// Admits the dumps that were looked through, as soon as they are: those behind may take hours.
    fn admit_ended(&mut self) -> Result<(), BuildError> {
        while let Some(found) =
            self.ended.front_mut().and_then(|ended| Arc::get_mut(&mut ended.found))
        {
            let Found { games, hash } = *found.get_mut().unwrap_or_else(PoisonError::into_inner);
            let dump = self.ended.pop_front().expect("it was just looked at").dump;
            self.admit(dump, games, DumpHash(hash))?;
        }
        Ok(())
    }

    /// Refuses a dump without games, and one that was counted already.
    fn admit(&mut self, dump: usize, games: u64, hash: DumpHash) -> Result<(), BuildError> {
        let place = &self.plan.sources[dump];
        if games == 0 {
            return Err(self.dumps.read()[dump].no_game(place).into());
        }
        if let Some(store) = self.old {
            dumps::refuse(store, &place.display(), |source| source.hash == hash)?;
        }
        match self.known.insert(hash, dump) {
            None => Ok(()),
            Some(other) => {
                let other = self.plan.sources[other].display();
                Err(BuildError::Twice { dump: place.display(), other })
            }
        }
    }
}
