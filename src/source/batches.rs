//! A dump cut into batches of whole games.

use super::{Dump, SourceError};
use crate::games::{GameReader, Mark, Measures, Scan, last_cut_behind};
use crate::ledger::Fingerprint;

/// A piece of a dump that holds whole games, or the first part of one that is too long to count.
#[derive(Clone, Debug)]
pub struct Batch {
    buffer: Vec<u8>,
    len: usize,
    /// Where its games begin; the text before was looked at already.
    from: usize,
    /// Whether its last game goes on behind it.
    cut_off: bool,
    measures: Measures,
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

    /// Its games.
    pub fn games(&self) -> GameReader<'_> {
        GameReader::of_part(self.text(), self.from, self.cut_off, self.measures)
    }

    /// The memory, for another batch.
    pub fn into_buffer(self) -> Vec<u8> {
        self.buffer
    }
}

/// Cuts a dump into batches, only where its whole text would be cut too: the games of all batches are
/// the games of the text, whatever the sizes.
///
/// A batch is usually cut before its last Event line. One without any is passed over as a reader does,
/// and cut where its last whole game ends; it grows until it holds one. Free text is passed over, and so
/// is the rest of a game that is too long to count.
pub struct Batches {
    dump: Dump,
    size: usize,
    measures: Measures,
    /// Text behind the last cut.
    rest: Vec<u8>,
    /// Where games begin in it.
    from: usize,
    /// Where it starts.
    offset: u64,
    index: u64,
    ended: bool,
    /// Looks for the start of the next game.
    passing: Option<Scan>,
    /// The error behind the bytes that could be read.
    broken: Option<SourceError>,
}

impl Batches {
    /// Batches of about `size` bytes.
    pub fn new(dump: Dump, size: usize) -> Batches {
        Batches::measured(dump, size, Measures::FIXED)
    }

    /// The same by another measure of what is too long.
    pub fn measured(dump: Dump, size: usize, measures: Measures) -> Batches {
        Batches {
            dump,
            size,
            measures,
            rest: Vec::new(),
            from: 0,
            offset: 0,
            index: 0,
            ended: false,
            passing: None,
            broken: None,
        }
    }

    /// The next batch, written into an old one's memory; `None` at the end.
    ///
    /// # Errors
    ///
    /// If the dump breaks off, what was read before comes first: the error comes with the call after.
    pub fn next_batch(&mut self, mut buffer: Vec<u8>) -> Result<Option<Batch>, SourceError> {
        // Enough for a game that is surely too long, behind what is looked back at.
        let most = self.size.max(self.measures.longest + 4 * self.measures.reach);
        let mut len = self.rest.len();
        let mut wanted = self.size.max(2 * len).min(most);
        loop {
            if buffer.len() < wanted {
                buffer.resize(wanted, 0);
            }
            if !self.rest.is_empty() {
                buffer[..len].copy_from_slice(&self.rest);
                self.rest.clear();
            }
            self.fill(&mut buffer[..wanted], &mut len);
            let more = !self.ended;
            let text = &buffer[..len];
            if let Some(mut scan) = self.passing.take() {
                let spent = self.pass_over(&mut scan, text, more);
                let Some(spent) = spent else { return self.broken.take().map_or(Ok(None), Err) };
                self.drop_front(&mut buffer, &mut len, spent);
                wanted = self.size.max(2 * len).min(most);
                continue;
            }
            if self.ended {
                return match len > self.from {
                    true => Ok(Some(self.batch(buffer, len, false))),
                    false => self.broken.take().map_or(Ok(None), Err),
                };
            }
            if let Some(cut) = last_cut_behind(text, self.from, self.measures) {
                self.rest.extend_from_slice(&text[cut..]);
                return Ok(Some(self.batch(buffer, cut, false)));
            }
            let (mut scan, end) = self.last_end(text);
            let open = scan.open_game();
            if open.is_some() && end.is_none() && len < most {
                wanted = (2 * wanted).min(most);
                continue;
            }
            match (end, open) {
                (Some(end), Some(_)) => {
                    self.rest.extend_from_slice(&text[end..]);
                    return Ok(Some(self.batch(buffer, end, false)));
                }
                // Free text before the game takes the room.
                (None, Some(start)) if start > self.from => {
                    let spent = start.saturating_sub(self.measures.reach + 1);
                    self.from = start - spent;
                    self.drop_front(&mut buffer, &mut len, spent);
                    wanted = self.size.max(2 * len).min(most);
                }
                (end, open) => {
                    let spent = scan.spent();
                    scan.shift(spent);
                    self.passing = Some(scan);
                    if end.is_none() && open.is_none() {
                        self.drop_front(&mut buffer, &mut len, spent);
                        wanted = self.size.max(2 * len).min(most);
                        continue;
                    }
                    self.rest.extend_from_slice(&text[spent..]);
                    let batch = self.batch(buffer, end.unwrap_or(len), open.is_some());
                    self.offset = batch.offset + spent as u64;
                    return Ok(Some(batch));
                }
            }
        }
    }

    /// Looks for the next game; how much of the text is not needed any more, or `None` if the dump ends
    /// without another.
    fn pass_over(&mut self, scan: &mut Scan, text: &[u8], more: bool) -> Option<usize> {
        loop {
            match scan.next_mark(text, more, &mut |_, _| {}) {
                Some(Mark::Start(start)) => {
                    let spent = start.saturating_sub(self.measures.reach + 1);
                    self.from = start - spent;
                    return Some(spent);
                }
                Some(Mark::Game(_)) => {}
                None if more => {
                    let spent = scan.spent();
                    scan.shift(spent);
                    self.passing = Some(scan.clone());
                    return Some(spent);
                }
                None => return None,
            }
        }
    }

    /// Passes over a text with more behind it: how far it gets, and where the last whole game ends.
    fn last_end(&self, text: &[u8]) -> (Scan, Option<usize>) {
        let (mut scan, mut end) = (Scan::new(self.from, self.measures), None);
        while let Some(mark) = scan.next_mark(text, true, &mut |_, _| {}) {
            if let Mark::Game(span) = mark {
                end = Some(span.end);
            }
        }
        (scan, end)
    }

    fn drop_front(&mut self, buffer: &mut [u8], len: &mut usize, count: usize) {
        buffer.copy_within(count..*len, 0);
        *len -= count;
        self.offset += count as u64;
    }

    fn batch(&mut self, buffer: Vec<u8>, len: usize, cut_off: bool) -> Batch {
        let (from, measures) = (self.from, self.measures);
        let (index, offset) = (self.index, self.offset);
        self.from = 0;
        self.index += 1;
        self.offset += len as u64;
        Batch { buffer, len, from, cut_off, measures, index, offset }
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
