//! Reads the dumps on one thread, looks into their games on others, writes on the caller's.

use std::collections::BTreeMap;
use std::io::Write;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use crossbeam_channel::{Receiver, Sender, bounded};

use super::order::{Order, Shelf};
use super::wanted::{Found, Wanted};
use super::{ExtractError, wanted};
use crate::source::{Batch, Dumps, Fed, Opening, Place, ReadDump, SourceError};

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

/// Bytes of a batch.
const BATCH: usize = 1 << 20;
/// For each thread, batches that may be read before the first of them is written.
const AHEAD: usize = 4;

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
/// `stop` may be set at any time to end it; it is set in any case when this returns.
///
/// # Errors
///
/// A dump that cannot be read, breaks off or holds no game; `out`; or `stop` was set. What was found
/// before may be written already.
pub fn extract<W: Write>(
    job: &Job,
    out: W,
    stop: &Arc<AtomicBool>,
) -> Result<Extracted, ExtractError> {
    let (to_workers, pieces) = bounded::<Piece>(job.threads + 1);
    let (to_writer, looked) = bounded::<Looked>(job.threads + 1);
    let (to_reader, spent) = bounded::<Vec<u8>>(2 * job.threads + 2);
    // What is found waits for the batches before it. One that takes long must not let the others
    // pile up behind it, so a batch needs a ticket, which it gives back once it is written.
    let (give_back, tickets) = bounded::<()>(AHEAD * (job.threads + 1));
    (0..AHEAD * (job.threads + 1)).for_each(|_| give_back.send(()).expect("there is room for all"));
    std::thread::scope(|scope| {
        for _ in 0..job.threads {
            let (pieces, to_writer, to_reader) =
                (pieces.clone(), to_writer.clone(), to_reader.clone());
            scope.spawn(move || look(&job.wanted, &pieces, &to_writer, &to_reader));
        }
        drop((pieces, to_writer, to_reader));
        let reader = scope.spawn(move || read_all(job, &to_workers, &spent, &tickets, stop));
        let written = write_all(job, out, &looked, give_back);
        let interrupted = stop.swap(true, Ordering::Relaxed);
        // Workers that still have something to say must not wait for ever.
        looked.iter().for_each(drop);
        let read = reader.join().expect("the reader does not panic");
        let Written { shelf, games, stopped_early } = written?;
        // What stands behind the last game that is written does not matter, read or not.
        if !stopped_early {
            if interrupted {
                return Err(ExtractError::Interrupted);
            }
            for (dump, read) in read?.into_iter().enumerate() {
                if games.get(&dump).copied().unwrap_or(0) == 0 {
                    return Err(read.no_game(&job.sources[dump]).into());
                }
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
        let (found, read) = wanted.find(&mut chase, &batch);
        // The reader may be gone already; then the memory is not wanted.
        let _ = to_reader.try_send(batch.into_buffer());
        if to_writer.send(Looked { number, dump, found, read }).is_err() {
            return;
        }
    }
}

/// The dumps that were read to their ends.
fn read_all(
    job: &Job,
    to_workers: &Sender<Piece>,
    spent: &Receiver<Vec<u8>>,
    tickets: &Receiver<()>,
    stop: &Arc<AtomicBool>,
) -> Result<Vec<ReadDump>, SourceError> {
    let opening = Opening { stop: Arc::clone(stop), ..Opening::default() };
    let mut dumps = Dumps::new(&job.sources, opening, BATCH, job.keep_going);
    let mut number = 0;
    while let Some(fed) = dumps.next(spent.try_recv().unwrap_or_default())? {
        let Fed::Batch(dump, batch) = fed else { continue };
        // Without tickets nobody writes any more.
        let may_send = tickets.recv().is_ok() && !stop.load(Ordering::Relaxed);
        if !may_send || to_workers.send(Piece { number, dump, batch }).is_err() {
            break;
        }
        number += 1;
    }
    Ok(dumps.read().to_vec())
}

struct Written<W: Write> {
    shelf: Shelf<W>,
    /// Games read of each dump.
    games: BTreeMap<usize, u64>,
    stopped_early: bool,
}

/// Writes what the workers find in the order of the batches, and gives back their tickets.
fn write_all<W: Write>(
    job: &Job,
    out: W,
    looked: &Receiver<Looked>,
    give_back: Sender<()>,
) -> Result<Written<W>, ExtractError> {
    let shelf = Shelf::new(out, job.order, job.limit);
    let mut written = Written { shelf, games: BTreeMap::new(), stopped_early: false };
    // No more than there are tickets.
    let mut early: BTreeMap<u64, Looked> = BTreeMap::new();
    let mut next = 0;
    for looked in looked {
        early.insert(looked.number, looked);
        while let Some(looked) = early.remove(&next) {
            next += 1;
            // The reader may have read all already.
            let _ = give_back.send(());
            *written.games.entry(looked.dump).or_default() += looked.read;
            for found in looked.found {
                if written.shelf.is_full() {
                    break;
                }
                written.shelf.put(found).map_err(ExtractError::Output)?;
            }
            if written.shelf.is_full() {
                written.stopped_early = true;
                return Ok(written);
            }
        }
    }
    Ok(written)
}
