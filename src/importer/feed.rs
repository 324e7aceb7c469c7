//! All dumps of a plan as one stream of batches, handed out in turn.
//!
//! Whoever wants a batch decompresses it: there is no thread that only reads, so the processors are
//! busy whatever decompressing and counting cost, and a batch is counted where it is still in the cache.

use std::collections::{HashMap, VecDeque};
use std::sync::atomic::AtomicU64;
use std::sync::{Arc, Mutex, PoisonError};

use super::dumps;
use super::plan::Memory;
use super::{BuildError, Plan, Progress, Stop};
use crate::source::{Batch, Batches, Dump, DumpHash, Fingerprint, Opening, SourceError};
use crate::store::Store;

/// A batch and the dump it is from.
pub(super) struct DumpBatch {
    /// Place of the dump in the plan.
    pub dump: usize,
    /// The batch.
    pub batch: Batch,
    /// Games found in the dump so far; whoever has looked into the batch lets go of it.
    pub games: Arc<AtomicU64>,
}

/// One dump read, to its end or to where it breaks off.
pub(super) struct ReadDump {
    pub fingerprint: Fingerprint,
    pub complete: bool,
    /// The format, for messages.
    what: String,
}

/// The dumps, shared by all workers.
pub(super) struct Feed<'p>(Mutex<Reading<'p>>);

impl<'p> Feed<'p> {
    pub(super) fn new(
        plan: &'p Plan,
        old: Option<&'p Store>,
        progress: &'p Progress,
        stop: &'p Stop,
    ) -> Feed<'p> {
        Feed(Mutex::new(Reading {
            plan,
            old,
            progress,
            stop,
            open: None,
            read: Vec::new(),
            ended: VecDeque::new(),
            known: HashMap::new(),
        }))
    }

    /// The next batch, written into an old one's memory; `None` behind the last dump. Whoever comes
    /// after an error is told to stop.
    pub(super) fn next(&self, buffer: Vec<u8>) -> Result<Option<DumpBatch>, BuildError> {
        let mut reading = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let next = reading.next(buffer);
        if next.is_err() {
            reading.stop.set();
        }
        next
    }

    /// What was read, once nobody looks into it any more.
    pub(super) fn into_read(self) -> Result<Vec<ReadDump>, BuildError> {
        let mut reading = self.0.into_inner().unwrap_or_else(PoisonError::into_inner);
        reading.refuse_empty()?;
        Ok(reading.read)
    }
}

struct Reading<'p> {
    plan: &'p Plan,
    old: Option<&'p Store>,
    progress: &'p Progress,
    stop: &'p Stop,
    open: Option<OpenDump>,
    /// The dumps before the open one.
    read: Vec<ReadDump>,
    ended: VecDeque<Ended>,
    known: HashMap<DumpHash, String>,
}

struct OpenDump {
    batches: Batches,
    games: Arc<AtomicU64>,
}

/// A dump that was read to its end while others still look into it.
struct Ended {
    games: Arc<AtomicU64>,
    dump: usize,
}

impl Reading<'_> {
    fn next(&mut self, mut buffer: Vec<u8>) -> Result<Option<DumpBatch>, BuildError> {
        loop {
            self.stop.check()?;
            self.refuse_empty()?;
            let dump = self.read.len();
            let open = match &mut self.open {
                Some(open) => open,
                None if dump == self.plan.sources.len() => return Ok(None),
                closed => closed.insert(open_dump(self.plan, dump, self.progress, self.stop)?),
            };
            let complete = match open.batches.next_batch(buffer) {
                Ok(Some(batch)) => {
                    self.progress.add_text_bytes(batch.text().len() as u64);
                    let games = Arc::clone(&open.games);
                    return Ok(Some(DumpBatch { dump, batch, games }));
                }
                Ok(None) => true,
                Err(SourceError::Truncated { .. } | SourceError::Damaged { .. })
                    if self.plan.keep_going && !self.stop.is_set() =>
                {
                    false
                }
                Err(error) => return Err(stopped_or(error, self.stop)),
            };
            buffer = Vec::new();
            self.end_dump(complete)?;
        }
    }

    fn end_dump(&mut self, complete: bool) -> Result<(), BuildError> {
        let OpenDump { batches, games } = self.open.take().expect("it was just read to its end");
        let dump = self.read.len();
        let (fingerprint, name) = (batches.fingerprint(), self.plan.sources[dump].display());
        if let Some(store) = self.old {
            dumps::refuse(store, &name, |source| source.hash == fingerprint.hash)?;
        }
        if let Some(other) = self.known.insert(fingerprint.hash, name.clone()) {
            return Err(BuildError::Twice { dump: name, other });
        }
        let what = if fingerprint.bytes == 0 {
            "it is empty".into()
        } else {
            batches.dump().format().to_string()
        };
        self.ended.push_back(Ended { games, dump });
        self.read.push(ReadDump { fingerprint, what, complete });
        Ok(())
    }

    /// Fails as soon as it is known that a dump holds no game: those behind it may take hours.
    fn refuse_empty(&mut self) -> Result<(), BuildError> {
        while let Some(games) =
            self.ended.front_mut().and_then(|dump| Arc::get_mut(&mut dump.games))
        {
            let found = *games.get_mut();
            let dump = self.ended.pop_front().expect("it was just looked at").dump;
            if found == 0 {
                let name = self.plan.sources[dump].display();
                let what = self.read[dump].what.clone();
                return Err(SourceError::NoGame { name, what }.into());
            }
        }
        Ok(())
    }
}

fn open_dump(
    plan: &Plan,
    dump: usize,
    progress: &Progress,
    stop: &Stop,
) -> Result<OpenDump, BuildError> {
    progress.set_file(dump);
    let raw_bytes = progress.raw_bytes_counter();
    let opening = Opening { raw_bytes, stop: stop.flag(), window: plan.memory.bytes() };
    let opened = Dump::open_with(&plan.sources[dump], opening);
    let opened = opened.map_err(|error| stopped_or(error, stop))?;
    let batches = Batches::new(opened, Memory::BATCH, plan.memory.longest_batch());
    Ok(OpenDump { batches, games: Arc::default() })
}

/// Reading that fails because of a request to stop is no fault of the dump.
pub(super) fn stopped_or(error: SourceError, stop: &Stop) -> BuildError {
    stop.check().err().unwrap_or(BuildError::Source(error))
}
