//! A piece of a dump that holds whole games.

use crate::games::{GameReader, Measures};

/// A piece of a dump that holds whole games, or the first part of one that is too long to count.
#[derive(Clone, Debug)]
pub struct Batch {
    pub(super) buffer: Vec<u8>,
    /// Where its text begins in the buffer.
    pub(super) start: usize,
    /// The place behind it.
    pub(super) end: usize,
    /// Where its games begin in the text; what is before was looked at already.
    pub(super) from: usize,
    /// Whether its last game goes on after it.
    pub(super) cut_off: bool,
    pub(super) measures: Measures,
    /// Which batch of the dump, from 0.
    pub index: u64,
    /// Where the text starts, in decompressed bytes from the start of the dump.
    pub offset: u64,
}

impl Batch {
    /// The text.
    pub fn text(&self) -> &[u8] {
        &self.buffer[self.start..self.end]
    }

    /// Its games.
    pub fn games(&self) -> GameReader<'_> {
        GameReader::of_part(self.text(), self.from, self.cut_off, self.measures)
    }

    /// The memory, for another batch.
    pub fn into_buffer(self) -> Vec<u8> {
        self.buffer
    }
}
