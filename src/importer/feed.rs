//! All dumps of a plan as one stream of their parts, handed out in turn.
//!
//! Whoever wants a part decompresses it: there is no thread that only reads, so the processors are
//! busy whatever decompressing and counting cost, and a batch is counted where it is still in the
//! cache. zstd frames that fit into a worker's share are handed out as they are, so that all
//! workers decompress at a time.

use std::collections::{HashMap, VecDeque};
use std::sync::atomic::{AtomicU64, AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, PoisonError};

use super::dumps;
use super::plan::{Memory, Unpacking};
use super::{BuildError, Plan, Progress, Stop};
use crate::ledger::DumpHash;
use crate::source::{Dumps, Fed, Opening, Part, ReadDump, Windows};
use crate::store::Store;

/// A part of a dump and where it is from.
pub(super) struct DumpPart {
    /// Place of the dump in the plan.
    pub dump: usize,
    /// The part.
    pub part: Part,
    /// What was found in the dump so far; whoever has looked into the part lets go of it.
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
    largest_frames: AtomicUsize,
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
        let opening = Opening {
            raw_bytes: progress.raw_bytes_counter(),
            stop: stop.flag(),
            windows,
            whole_frames: plan.for_whole_frames(),
        };
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
        Feed { reading, largest_window, largest_frames: AtomicUsize::new(0) }
    }

    /// The next part, perhaps in an old batch's memory; `None` behind the last dump. Whoever comes
    /// after an error is told to stop.
    pub(super) fn next(&self, buffer: Vec<u8>) -> Result<Option<DumpPart>, BuildError> {
        let mut reading = self.reading.lock().unwrap_or_else(PoisonError::into_inner);
        let next = reading.next(buffer);
        match &next {
            Ok(Some(DumpPart { part: Part::Packed(packed), .. })) => {
                self.largest_frames.fetch_max(packed.memory(), Ordering::Relaxed);
            }
            Ok(_) => {}
            Err(_) => reading.stop.set(),
        }
        next
    }

    /// What has been needed up to now to decompress.
    pub(super) fn unpacking(&self) -> Unpacking {
        Unpacking {
            window: self.largest_window.load(Ordering::Relaxed),
            frames: self.largest_frames.load(Ordering::Relaxed),
        }
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
    fn next(&mut self, mut buffer: Vec<u8>) -> Result<Option<DumpPart>, BuildError> {
        loop {
            self.stop.check()?;
            self.admit_ended()?;
            self.progress.set_file(self.dumps.read().len());
            let fed = self.dumps.next(buffer).map_err(|error| self.stop.or(error))?;
            self.progress.set_text_bytes(self.dumps.text_bytes());
            match fed {
                None => return Ok(None),
                Some(Fed::Part(dump, part)) => {
                    let found = Arc::clone(&self.found);
                    return Ok(Some(DumpPart { dump, part, found }));
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
