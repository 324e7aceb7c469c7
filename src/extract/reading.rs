//! Reads the dumps on one thread, looks into their games on others, writes on the caller's.

use std::collections::BTreeMap;
use std::io::Write;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};

use crossbeam_channel::{Receiver, Sender, bounded};

use super::order::{Order, Shelf};
use super::wanted::{Found, Wanted};
use super::{ExtractError, wanted};
use crate::source::{Batch, Batches, Dump, Place, SourceError};

/// What to do.
#[derive(Clone, Debug)]
pub struct Job {
    /// The dumps in order.
    pub sources: Vec<Place>,
    /// Which games.
    pub wanted: Wanted,
    /// In which order.
    pub order: Order,
    /// At most so many.
    pub limit: Option<u64>,
    /// Threads that look into games.
    pub threads: usize,
    /// Whether to take what can be read of a dump that breaks off.
    pub keep_going: bool,
}

/// What was done.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Extracted {
    /// Games looked at.
    pub read: u64,
    /// Games that are wanted.
    pub found: u64,
    /// Games written.
    pub written: u64,
    /// Whether the limit was reached before the end of the dumps.
    pub stopped_early: bool,
}

/// Bytes of a batch, and the longest game that is read whole.
const BATCH: usize = 1 << 20;
const LONGEST: usize = 1 << 26;

/// A batch with its place among all batches of all dumps.
struct Piece {
    number: u64,
    dump: usize,
    batch: Batch,
}

/// What a worker found in a batch.
struct Looked {
    number: u64,
    dump: usize,
    found: Vec<Found>,
    read: u64,
}

/// Writes the wanted games of all dumps to `out`.
///
/// # Errors
///
/// A dump that cannot be read, breaks off or holds no game; `out`; or `stop` was set. What was found
/// before may be written already.
pub fn extract<W: Write>(job: &Job, out: W, stop: &AtomicBool) -> Result<Extracted, ExtractError> {
    let ended = AtomicBool::new(false);
    let (to_workers, pieces) = bounded::<Piece>(job.threads + 1);
    let (to_writer, looked) = bounded::<Looked>(job.threads + 1);
    let (to_reader, spent) = bounded::<Vec<u8>>(2 * job.threads + 2);
    std::thread::scope(|scope| {
        for _ in 0..job.threads {
            let (pieces, to_writer, to_reader) =
                (pieces.clone(), to_writer.clone(), to_reader.clone());
            scope.spawn(move || look(&job.wanted, &pieces, &to_writer, &to_reader));
        }
        drop((pieces, to_writer, to_reader));
        let halted = || stop.load(Ordering::Relaxed) || ended.load(Ordering::Relaxed);
        let reader = scope.spawn(move || read_all(job, &to_workers, &spent, halted));
        let written = write_all(job, out, &looked, &ended);
        // Workers that still have something to say must not wait for ever.
        ended.store(true, Ordering::Relaxed);
        looked.iter().for_each(drop);
        let read = reader.join().expect("the reader does not panic");
        if stop.load(Ordering::Relaxed) {
            return Err(ExtractError::Interrupted);
        }
        let Written { shelf, games, stopped_early } = written?;
        // What stands behind the last game that is written does not matter, read or not.
        let formats = if stopped_early { Vec::new() } else { read? };
        for (dump, what) in formats.into_iter().enumerate() {
            if games.get(&dump).copied().unwrap_or(0) == 0 {
                let name = job.sources[dump].display();
                return Err(SourceError::NoGame { name, what }.into());
            }
        }
        let (written, found) = shelf.finish().map_err(ExtractError::Output)?;
        Ok(Extracted { read: games.values().sum(), found, written, stopped_early })
    })
}

fn look(
    wanted: &wanted::Wanted,
    pieces: &Receiver<Piece>,
    to_writer: &Sender<Looked>,
    to_reader: &Sender<Vec<u8>>,
) {
    let mut chase = wanted.chase();
    for Piece { number, dump, batch } in pieces {
        let (found, read) = wanted.find(&mut chase, batch.text());
        // The reader may be gone already; then the memory is not wanted.
        let _ = to_reader.try_send(batch.into_buffer());
        if to_writer.send(Looked { number, dump, found, read }).is_err() {
            return;
        }
    }
}

/// What the dumps are, for those that were read to their ends.
fn read_all(
    job: &Job,
    to_workers: &Sender<Piece>,
    spent: &Receiver<Vec<u8>>,
    halted: impl Fn() -> bool,
) -> Result<Vec<String>, SourceError> {
    let (mut number, mut formats) = (0, Vec::new());
    for (dump, place) in job.sources.iter().enumerate() {
        let opened = Dump::open(place, Arc::new(AtomicU64::new(0)))?;
        let mut batches = Batches::new(opened, BATCH, LONGEST);
        let mut is_empty = true;
        loop {
            match batches.next_batch(spent.try_recv().unwrap_or_default()) {
                Ok(Some(batch)) => {
                    is_empty &= batch.text().is_empty();
                    let piece = Piece { number, dump, batch };
                    if halted() || to_workers.send(piece).is_err() {
                        return Ok(formats);
                    }
                    number += 1;
                }
                Ok(None) => break,
                Err(SourceError::Truncated { .. } | SourceError::Damaged { .. })
                    if job.keep_going =>
                {
                    break;
                }
                Err(error) => return Err(error),
            }
        }
        let format = batches.dump().format().to_string();
        formats.push(if is_empty { "it is empty".into() } else { format });
    }
    Ok(formats)
}

struct Written<W: Write> {
    shelf: Shelf<W>,
    /// Games read of each dump.
    games: BTreeMap<usize, u64>,
    stopped_early: bool,
}

/// Writes what the workers find in the order of the batches.
fn write_all<W: Write>(
    job: &Job,
    out: W,
    looked: &Receiver<Looked>,
    ended: &AtomicBool,
) -> Result<Written<W>, ExtractError> {
    let shelf = Shelf::new(out, job.order, job.limit);
    let mut written = Written { shelf, games: BTreeMap::new(), stopped_early: false };
    // Workers overtake each other by a few batches only, since their queues are short.
    let mut early: BTreeMap<u64, Looked> = BTreeMap::new();
    let mut next = 0;
    for looked in looked {
        early.insert(looked.number, looked);
        while let Some(looked) = early.remove(&next) {
            next += 1;
            *written.games.entry(looked.dump).or_default() += looked.read;
            for found in looked.found {
                if written.shelf.is_full() {
                    break;
                }
                written.shelf.put(found).map_err(ExtractError::Output)?;
            }
            if written.shelf.is_full() {
                ended.store(true, Ordering::Relaxed);
                written.stopped_early = true;
                return Ok(written);
            }
        }
    }
    Ok(written)
}
