//! Decompressed bytes cut into batches of whole games.

use super::{Dump, Fingerprint, SourceError};
use crate::games::{first_cut, last_cut};

/// A piece of a dump that starts and ends between games.
#[derive(Clone, Debug)]
pub struct Batch {
    buffer: Vec<u8>,
    len: usize,
    /// Which batch of the dump, from 0.
    pub index: u64,
    /// Where the text starts, in decompressed bytes from the start of the dump.
    pub offset: u64,
}

impl Batch {
    /// The text.
    pub fn text(&self) -> &[u8] {
        &self.buffer[..self.len]
    }

    /// The memory, for another batch.
    pub fn into_buffer(self) -> Vec<u8> {
        self.buffer
    }
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
    /// Where they start.
    offset: u64,
    index: u64,
    ended: bool,
    skipping: bool,
    /// The error behind the bytes that could be read.
    broken: Option<SourceError>,
}

/// Of a game that is passed over, the bytes kept so that no place to cut is overlooked.
const KEEP: usize = 256;

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

    /// The next batch, written into an old one's memory; `None` at the end.
    ///
    /// # Errors
    ///
    /// If the dump breaks off, what was read before comes first: the error comes with the call after.
    pub fn next_batch(&mut self, mut buffer: Vec<u8>) -> Result<Option<Batch>, SourceError> {
        let mut len = self.rest.len();
        let mut wanted = self.size.max(2 * len).min(self.limit);
        loop {
            if buffer.len() < wanted {
                buffer.resize(wanted, 0);
            }
            if !self.rest.is_empty() {
                buffer[..len].copy_from_slice(&self.rest);
                self.rest.clear();
            }
            self.fill(&mut buffer[..wanted], &mut len);
            let whole = &buffer[..len];
            let cut = if self.skipping { first_cut(whole) } else { last_cut(whole) };
            match cut {
                Some(cut) if self.skipping => {
                    self.skipping = false;
                    self.pass_over(&mut buffer, &mut len, cut);
                }
                _ if self.ended => {
                    if len > 0 && !self.skipping {
                        return Ok(Some(self.batch(buffer, len)));
                    }
                    return self.broken.take().map_or(Ok(None), Err);
                }
                Some(cut) => {
                    self.rest.extend_from_slice(&whole[cut..]);
                    return Ok(Some(self.batch(buffer, cut)));
                }
                None if self.skipping => {
                    let passed = len.saturating_sub(KEEP);
                    self.pass_over(&mut buffer, &mut len, passed);
                }
                None if len == self.limit => {
                    self.skipping = true;
                    let cut = len - KEEP.min(len);
                    self.rest.extend_from_slice(&whole[cut..]);
                    return Ok(Some(self.batch(buffer, cut)));
                }
                None => wanted = (2 * wanted).min(self.limit),
            }
        }
    }

    fn pass_over(&mut self, buffer: &mut [u8], len: &mut usize, count: usize) {
        buffer.copy_within(count..*len, 0);
        *len -= count;
        self.offset += count as u64;
    }

    fn batch(&mut self, buffer: Vec<u8>, len: usize) -> Batch {
        let batch = Batch { buffer, len, index: self.index, offset: self.offset };
        self.index += 1;
        self.offset += len as u64;
        batch
    }

    /// Reads until the buffer is full, the dump ends or it breaks off.
    fn fill(&mut self, buffer: &mut [u8], len: &mut usize) {
        while *len < buffer.len() && !self.ended {
            match self.dump.read(&mut buffer[*len..]) {
                Ok(0) => self.ended = true,
                Ok(count) => *len += count,
                Err(error) => {
                    self.ended = true;
                    self.broken = Some(error);
                }
            }
        }
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
