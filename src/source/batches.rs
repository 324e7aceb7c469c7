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
    /// Bytes of text within which the first game must begin.
    patience: u64,
}

/// What is to be done with a text.
enum Next {
    /// Hand it out up to `end`, and forget it up to `spent`.
    Batch { end: usize, spent: usize, cut_off: bool },
    /// Forget so many bytes and read on.
    Drop(usize),
    /// Read more of it.
    Longer,
    /// There is no more game.
    Nothing,
}

impl Next {
    fn whole(end: usize) -> Next {
        Next::Batch { end, spent: end, cut_off: false }
    }
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
            patience: u64::MAX,
        }
    }

    /// The same, given up if no game begins within so many bytes of text, so that a device without an end has one.
    pub fn with_patience(self, patience: u64) -> Batches {
        Batches { patience, ..self }
    }

    /// The next batch, written into an old one's memory; `None` at the end.
    ///
    /// # Errors
    ///
    /// If the dump breaks off, what was read before comes first: the error comes with the call after. No game within the
    /// patience.
    pub fn next_batch(&mut self, mut buffer: Vec<u8>) -> Result<Option<Batch>, SourceError> {
        let mut len = self.rest.len();
        let mut wanted = self.usual(len);
        if buffer.len() < wanted {
            buffer.resize(wanted, 0);
        }
        buffer[..len].copy_from_slice(&self.rest);
        self.rest.clear();
        loop {
            if buffer.len() < wanted {
                buffer.resize(wanted, 0);
            }
            self.fill(&mut buffer[..wanted], &mut len);
            match self.look(&buffer[..len]) {
                Next::Batch { end, spent, cut_off } => {
                    self.rest.extend_from_slice(&buffer[spent..len]);
                    let batch = Batch {
                        buffer,
                        len: end,
                        from: std::mem::take(&mut self.from),
                        cut_off,
                        measures: self.measures,
                        index: self.index,
                        offset: self.offset,
                    };
                    self.index += 1;
                    self.offset += spent as u64;
                    return Ok(Some(batch));
                }
                Next::Drop(count) => {
                    buffer.copy_within(count..len, 0);
                    len -= count;
                    self.offset += count as u64;
                    if self.index == 0 && self.offset > self.patience {
                        let what =
                            format!("no game begins in its first {} MiB", self.patience >> 20);
                        return Err(SourceError::NoGame {
                            name: self.dump.name().to_owned(),
                            what,
                        });
                    }
                    wanted = self.usual(len);
                }
                Next::Longer => wanted = (2 * wanted).min(self.most()),
                Next::Nothing => return self.broken.take().map_or(Ok(None), Err),
            }
        }
    }

    /// Enough for a game that is surely too long, behind what is looked back at.
    fn most(&self) -> usize {
        self.size.max(self.measures.longest + 4 * self.measures.reach)
    }

    /// How much to read to when there are `len` bytes already.
    fn usual(&self, len: usize) -> usize {
        self.size.max(2 * len).min(self.most())
    }

    /// What to do with the text behind the last cut, as far as it was read.
    fn look(&mut self, text: &[u8]) -> Next {
        if let Some(scan) = self.passing.take() {
            return self.pass_over(scan, text);
        }
        if self.ended {
            let end = text.len();
            return if end > self.from { Next::whole(end) } else { Next::Nothing };
        }
        if let Some(cut) = last_cut_behind(text, self.from, self.measures) {
            return Next::whole(cut);
        }
        let (mut scan, end) = self.last_end(text);
        match (scan.open_game(), end) {
            (Some(_), Some(end)) => Next::whole(end),
            (Some(_), None) if text.len() < self.most() => Next::Longer,
            // Free text before the game takes the room.
            (Some(start), None) if start > self.from => self.begin_at(start),
            (open, end) => {
                let spent = scan.spent();
                scan.shift(spent);
                self.passing = Some(scan);
                match end.or(open.map(|_| text.len())) {
                    Some(end) => Next::Batch { end, spent, cut_off: open.is_some() },
                    None => Next::Drop(spent),
                }
            }
        }
    }

    /// Looks for the next game.
    fn pass_over(&mut self, mut scan: Scan, text: &[u8]) -> Next {
        while let Some(mark) = scan.next_mark(text, !self.ended, &mut |_, _| {}) {
            if let Mark::Start(start) = mark {
                return self.begin_at(start);
            }
        }
        if self.ended {
            return Next::Nothing;
        }
        let spent = scan.spent();
        scan.shift(spent);
        self.passing = Some(scan);
        Next::Drop(spent)
    }

    /// Leaves before a game only what is looked back at.
    fn begin_at(&mut self, start: usize) -> Next {
        let spent = start.saturating_sub(self.measures.reach + 1);
        self.from = start - spent;
        Next::Drop(spent)
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

    /// What to say if there was no game in it.
    pub fn no_game(&self) -> SourceError {
        SourceError::no_game(self.dump.name(), self.dump.text_bytes(), self.dump.format())
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
