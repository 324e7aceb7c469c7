//! Reads the dumps and looks into their games on several threads, writes on the caller's.

use std::collections::BTreeMap;
use std::io::Write;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, PoisonError};

use crossbeam_channel::{Receiver, Sender, bounded};

use super::ExtractError;
use super::order::{Order, Shelf};
use super::wanted::{FoundGame, Wanted};
use crate::games::LeftOutTally;
use crate::source::{Dumps, Fed, Opening, Part, Place, SourceError};

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
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Extracted {
    /// Games looked at.
    pub read: u64,
    /// Those of them that a build would leave out.
    pub left_out: LeftOutTally,
    /// Games that are wanted.
    pub found: u64,
    /// Games written.
    pub written: u64,
    /// Whether the limit was reached before the end of the dumps.
    pub stopped_early: bool,
}

/// Bytes of a batch.
const BATCH: usize = 1 << 20;
/// Text of a zstd frame, in bytes, that one thread may look into by itself; what is found
/// in it waits.
const WHOLE_FRAME: usize = 8 << 20;
/// For each thread, parts of dumps that may be read before the first of them is written.
const AHEAD: usize = 4;

/// What a worker found in a part.
struct Looked {
    number: u64,
    dump: usize,
    found: Vec<FoundGame>,
    read: u64,
    left_out: LeftOutTally,
}

/// Writes the wanted games of all dumps to `out`.
///
/// `stop` may be set at any time to end it; it is set in any case when this returns.
///
/// # Errors
///
/// A dump that cannot be read, breaks off or holds no game; `out`; or `stop` was set. What was
/// found before may be written already.
pub fn extract<W: Write>(
    job: &Job,
    out: W,
    stop: &Arc<AtomicBool>,
) -> Result<Extracted, ExtractError> {
    let (to_writer, looked) = bounded::<Looked>(job.threads + 1);
    // What is found waits for the parts before it. One that takes long must not let the others
    // pile up behind it, so a part needs a ticket, which it gives back once it is written.
    let (give_back, tickets) = bounded::<()>(AHEAD * (job.threads + 1));
    (0..AHEAD * (job.threads + 1)).for_each(|_| give_back.send(()).expect("there is room for all"));
    let opening =
        Opening { stop: Arc::clone(stop), whole_frames: WHOLE_FRAME, ..Opening::default() };
    let dumps = Dumps::new(&job.sources, opening, BATCH, job.keep_going);
    let feed = Mutex::new(Feed { dumps, tickets, parts: 0, failed: None });
    let (written, interrupted) = std::thread::scope(|scope| {
        for _ in 0..job.threads {
            let (to_writer, feed) = (to_writer.clone(), &feed);
            scope.spawn(move || look(&job.wanted, feed, &to_writer, stop));
        }
        drop(to_writer);
        let written = write_all(job, out, &looked, give_back);
        let interrupted = stop.swap(true, Ordering::Relaxed);
        // Workers that still have something to say must not wait for ever.
        looked.iter().for_each(drop);
        (written, interrupted)
    });
    let Written { shelf, games, left_out, stopped_early } = written?;
    let Feed { dumps, failed, .. } = feed.into_inner().unwrap_or_else(PoisonError::into_inner);
    // What comes after the last game that is written does not matter, read or not.
    if !stopped_early {
        if interrupted {
            return Err(ExtractError::Interrupted);
        }
        if let Some(error) = failed {
            return Err(error.into());
        }
        for (dump, read) in dumps.read().iter().enumerate() {
            if games.get(&dump).copied().unwrap_or(0) == 0 {
                return Err(read.no_game(&job.sources[dump]).into());
            }
        }
    }
    let (written, found) = shelf.finish().map_err(ExtractError::Output)?;
    Ok(Extracted { read: games.values().sum(), left_out, found, written, stopped_early })
}

/// The dumps, handed out part by part to the thread that is free.
struct Feed<'j> {
    dumps: Dumps<'j>,
    /// Those of the parts that may be read before others are written.
    tickets: Receiver<()>,
    /// Parts of all dumps so far.
    parts: u64,
    /// Why there are no more.
    failed: Option<SourceError>,
}

impl Feed<'_> {
    /// The next part with its number among all and its dump's, perhaps in an old batch's memory.
    fn next(&mut self, mut buffer: Vec<u8>, stop: &AtomicBool) -> Option<(u64, usize, Part)> {
        // Without tickets nobody writes any more.
        if self.failed.is_some() || self.tickets.recv().is_err() {
            return None;
        }
        while !stop.load(Ordering::Relaxed) {
            match self.dumps.next(buffer) {
                Ok(Some(Fed::Part(dump, part))) => {
                    self.parts += 1;
                    return Some((self.parts - 1, dump, part));
                }
                Ok(Some(Fed::End(_))) => buffer = Vec::new(),
                Ok(None) => break,
                Err(error) => {
                    self.failed = Some(error);
                    break;
                }
            }
        }
        None
    }
}

fn look(wanted: &Wanted, feed: &Mutex<Feed<'_>>, to_writer: &Sender<Looked>, stop: &AtomicBool) {
    let (mut chase, mut buffer) = (wanted.chase(), Vec::new());
    loop {
        let next = feed.lock().unwrap_or_else(PoisonError::into_inner).next(buffer, stop);
        let Some((number, dump, part)) = next else { return };
        let left_out = LeftOutTally::default();
        let mut looked = Looked { number, dump, found: Vec::new(), read: 0, left_out };
        buffer = Vec::new();
        for batch in part.unpack() {
            let (found, read) = wanted.find(&mut chase, &batch, &mut looked.left_out);
            looked.found.extend(found);
            looked.read += read;
            buffer = batch.into_buffer();
        }
        if to_writer.send(looked).is_err() {
            return;
        }
    }
}

struct Written<W: Write> {
    shelf: Shelf<W>,
    /// Games read of each dump.
    games: BTreeMap<usize, u64>,
    left_out: LeftOutTally,
    stopped_early: bool,
}

/// Writes what the workers find in the order of the parts, and gives back their tickets.
fn write_all<W: Write>(
    job: &Job,
    out: W,
    looked: &Receiver<Looked>,
    give_back: Sender<()>,
) -> Result<Written<W>, ExtractError> {
    let shelf = Shelf::new(out, job.order, job.limit);
    let (games, left_out) = (BTreeMap::new(), LeftOutTally::default());
    let mut written = Written { shelf, games, left_out, stopped_early: false };
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
            written.left_out.merge(&looked.left_out);
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
