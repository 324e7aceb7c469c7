//! Decompressed bytes cut into batches of whole games.

use super::{Dump, Fingerprint, SourceError};
use crate::games::last_cut;

/// A piece of a dump that starts and ends between games.
#[derive(Clone, Debug, Default)]
pub struct Batch {
    /// The text.
    pub text: Vec<u8>,
    /// Which batch of the dump, from 0.
    pub index: u64,
    /// Where the text starts, in decompressed bytes from the start of the dump.
    pub offset: u64,
}

/// Cuts a dump into batches.
///
/// A batch that holds no place to cut grows, up to a limit; a game longer than that is cut off
/// there, which makes it a broken one, and the bytes up to the next place to cut are passed over.
pub struct Batches {
    dump: Dump,
    size: usize,
    limit: usize,
    /// Bytes behind the last cut.
    rest: Vec<u8>,
    offset: u64,
    index: u64,
    ended: bool,
    skipping: bool,
    /// Why the dump breaks off, once what was read before it is on its way.
    broken: Option<SourceError>,
}

impl Batches {
    /// Batches of about `size` bytes, never more than `limit`.
    pub fn new(dump: Dump, size: usize, limit: usize) -> Batches {
        Batches {
            dump,
            size,
            limit: limit.max(size),
            rest: Vec::new(),
            offset: 0,
            index: 0,
            ended: false,
            skipping: false,
            broken: None,
        }
    }

    /// The next batch, written over an old one to save its memory; `None` at the end.
    ///
    /// # Errors
    ///
    /// If the dump breaks off, what was read before comes first: the error comes with the call after.
    pub fn next_batch(&mut self, mut spent: Vec<u8>) -> Result<Option<Batch>, SourceError> {
        if let Some(error) = self.broken.take() {
            return Err(error);
        }
        spent.clear();
        spent.extend_from_slice(&self.rest);
        self.rest.clear();
        let mut text = spent;
        loop {
            let wanted =
                if text.len() < self.size { self.size } else { (text.len() * 2).min(self.limit) };
            if let Err(error) = self.fill(&mut text, wanted) {
                if text.is_empty() || self.skipping {
                    return Err(error);
                }
                self.broken = Some(error);
                return Ok(Some(self.batch(text)));
            }
            if self.ended {
                return Ok((!text.is_empty()).then(|| self.batch(text)));
            }
            match last_cut(&text) {
                Some(cut) if self.skipping => {
                    self.skipping = false;
                    text.drain(..cut);
                    self.offset += cut as u64;
                }
                Some(cut) => {
                    self.rest.extend_from_slice(&text[cut..]);
                    text.truncate(cut);
                    return Ok(Some(self.batch(text)));
                }
                None if self.skipping => {
                    // Keep the last line or so: the place to cut may lie across the border.
                    let keep = text.len().min(KEEP);
                    let drop = text.len() - keep;
                    text.drain(..drop);
                    self.offset += drop as u64;
                }
                None if text.len() >= self.limit => {
                    self.skipping = true;
                    let keep = text.len().min(KEEP);
                    self.rest.extend_from_slice(&text[text.len() - keep..]);
                    text.truncate(text.len() - keep);
                    return Ok(Some(self.batch(text)));
                }
                None => {}
            }
        }
    }

    fn batch(&mut self, text: Vec<u8>) -> Batch {
        let batch = Batch { index: self.index, offset: self.offset, text };
        self.index += 1;
        self.offset += batch.text.len() as u64;
        batch
    }

    fn fill(&mut self, text: &mut Vec<u8>, wanted: usize) -> Result<(), SourceError> {
        let mut filled = text.len();
        text.resize(wanted.max(filled), 0);
        while filled < wanted && !self.ended {
            match self.dump.read(&mut text[filled..]) {
                Ok(0) => self.ended = true,
                Ok(count) => filled += count,
                Err(error) => {
                    text.truncate(filled);
                    return Err(error);
                }
            }
        }
        text.truncate(filled);
        Ok(())
    }

    /// What was read so far; of the whole dump once [`Batches::next_batch`] gave `None`.
    pub fn fingerprint(&self) -> Fingerprint {
        self.dump.fingerprint()
    }

    /// The dump.
    pub fn dump(&self) -> &Dump {
        &self.dump
    }
}

const KEEP: usize = 256;
