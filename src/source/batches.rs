//! A dump cut into batches of whole games, or into parts of which others cut them.

use std::io;
use std::sync::Arc;

use super::cutter::Cutter;
use super::seams::Seams;
use super::zstd_frames::Coming;
use super::{Batch, Dump, Packed, SourceError};
use crate::games::Measures;
use crate::ledger::Fingerprint;

/// A part of a dump.
pub enum Part {
    /// A batch.
    Batch(Batch),
    /// zstd frames that hold the next batches.
    Packed(Packed),
}

impl Part {
    /// Its batches in order.
    pub fn unpack(self) -> Vec<Batch> {
        match self {
            Part::Batch(batch) => vec![batch],
            Part::Packed(packed) => packed.unpack(),
        }
    }
}

/// Reads a dump part by part: the games of all batches are the games of its text, whatever the
/// sizes, and whoever unpacks which part when.
pub struct Batches {
    dump: Dump,
    size: usize,
    measures: Measures,
    seams: Arc<Seams>,
    /// How many parts were handed out packed.
    packed: u64,
}

impl Batches {
    /// Batches of about `size` bytes.
    pub fn new(dump: Dump, size: usize) -> Batches {
        Batches::measured(dump, size, Measures::FIXED)
    }

    /// The same by another measure of what is too long.
    pub fn measured(dump: Dump, size: usize, measures: Measures) -> Batches {
        let seams = Seams::new(dump.name().clone(), Cutter::new(size, measures));
        Batches { dump, size, measures, seams: Arc::new(seams), packed: 0 }
    }

    /// The same, given up if no game begins within so many bytes of text, so that a device without
    /// an end has one.
    pub fn with_patience(self, patience: u64) -> Batches {
        self.seams.now().cutter.set_patience(patience);
        self
    }

    /// The next part, perhaps in an old batch's memory; `None` at the end.
    ///
    /// # Errors
    ///
    /// If the dump breaks off, what was read before comes first: the error comes with the call
    /// after. No game within the patience.
    pub fn next_part(&mut self, mut spare: Vec<u8>) -> Result<Option<Part>, SourceError> {
        loop {
            let has_ended = self.seams.now().cutter.has_ended();
            let coming = if has_ended { Ok(Coming::Nothing) } else { self.dump.coming(self.size) };
            if let Ok(Coming::Frames(frames)) = coming {
                let number = self.packed;
                self.packed += 1;
                let packed = Packed::new(frames, spare, self.measures, number, &self.seams);
                return Ok(Some(Part::Packed(packed)));
            }
            let mut turn = self.seams.wait_for(self.packed);
            let next = match coming {
                Ok(Coming::Text) if !turn.cutter.has_ended() => {
                    turn.cutter.next(&mut spare, &mut self.dump)
                }
                Ok(_) => {
                    turn.cutter.end();
                    match turn.cutter.next(&mut spare, &mut io::empty()) {
                        Ok(None) => return turn.take_error().map_or(Ok(None), Err),
                        next => next,
                    }
                }
                Err(error) => Err(error),
            };
            match next {
                Ok(Some(batch)) => return Ok(Some(Part::Batch(batch))),
                // Something else comes.
                Ok(None) => {}
                Err(error) => turn.break_off(error),
            }
        }
    }

    /// What to say if there was no game in it.
    pub fn no_game(&self) -> SourceError {
        self.dump.name().no_game(self.text_bytes())
    }

    /// What was read so far; of the whole dump once [`Batches::next_part`] gave `None`.
    pub fn fingerprint(&self) -> Fingerprint {
        let file = self.dump.file();
        Fingerprint {
            bytes: self.text_bytes(),
            file_bytes: file.map(|(_, bytes)| bytes),
            file_hash: file.map(|(hash, _)| hash),
        }
    }

    /// Bytes of text read so far.
    pub fn text_bytes(&self) -> u64 {
        self.seams.now().cutter.taken()
    }

    /// The dump.
    pub fn dump(&self) -> &Dump {
        &self.dump
    }
}
