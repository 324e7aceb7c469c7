//! Dumps one after another as one stream of their parts.

use std::sync::atomic::Ordering;

use super::{Batches, Dump, Format, Opening, Part, Place, SourceError};
use crate::ledger::Fingerprint;

/// Reads dumps in order.
pub struct Dumps<'p> {
    places: &'p [Place],
    opening: Opening,
    batch_size: usize,
    /// Whether to take what can be read of a dump that breaks off.
    keep_going: bool,
    open: Option<Batches>,
    /// The dumps before the open one.
    read: Vec<ReadDump>,
}

/// What comes next.
pub enum Fed {
    /// A part of the dump with this number.
    Part(usize, Part),
    /// The dump with this number was read to its end, or to where it breaks off.
    End(usize),
}

/// One dump that was read.
#[derive(Clone, Copy, Debug)]
pub struct ReadDump {
    /// What its bytes turned out to be.
    pub fingerprint: Fingerprint,
    /// Whether it was read to its end.
    pub complete: bool,
    format: Format,
}

impl ReadDump {
    /// What to say if there was no game in it.
    pub fn no_game(&self, place: &Place) -> SourceError {
        if !self.complete {
            let what = "it is cut off or damaged before the end of its first game: fetch it again";
            return SourceError::NoGame { name: place.display(), what: what.to_owned() };
        }
        SourceError::no_game(&place.display(), self.fingerprint.bytes, self.format)
    }
}

impl<'p> Dumps<'p> {
    /// Nothing is opened before it is its turn.
    pub fn new(
        places: &'p [Place],
        opening: Opening,
        batch_size: usize,
        keep_going: bool,
    ) -> Dumps<'p> {
        Dumps { places, opening, batch_size, keep_going, open: None, read: Vec::new() }
    }

    /// The next part, perhaps in an old batch's memory, or the end of a dump; `None`
    /// behind the last.
    ///
    /// # Errors
    ///
    /// A dump that cannot be opened or read, or that breaks off.
    pub fn next(&mut self, buffer: Vec<u8>) -> Result<Option<Fed>, SourceError> {
        let dump = self.read.len();
        let batches = match &mut self.open {
            Some(batches) => batches,
            None if dump == self.places.len() => return Ok(None),
            closed => {
                let opened = Dump::open_with(&self.places[dump], self.opening.clone())?;
                closed.insert(Batches::new(opened, self.batch_size))
            }
        };
        let complete = match batches.next_part(buffer) {
            Ok(Some(part)) => return Ok(Some(Fed::Part(dump, part))),
            Ok(None) => true,
            Err(SourceError::Truncated { .. } | SourceError::Damaged { .. })
                if self.keep_going && !self.opening.stop.load(Ordering::Relaxed) =>
            {
                false
            }
            Err(error) => return Err(error),
        };
        let (fingerprint, format) = (batches.fingerprint(), batches.dump().format());
        self.open = None;
        self.read.push(ReadDump { fingerprint, complete, format });
        Ok(Some(Fed::End(dump)))
    }

    /// The dumps that were read.
    pub fn read(&self) -> &[ReadDump] {
        &self.read
    }

    /// Decompressed bytes of all dumps so far.
    pub fn text_bytes(&self) -> u64 {
        let read = self.read.iter().map(|dump| dump.fingerprint.bytes).sum::<u64>();
        read + self.open.as_ref().map_or(0, Batches::text_bytes)
    }
}
