//! A text that comes piece by piece, cut into batches of whole games.

use std::io::{self, Read};

use super::Batch;
use super::line_ends::LineEnds;
use crate::games::{
    BYTE_ORDER_MARK, Mark, Measures, Scan, last_cut_behind, last_cut_inside, settle_line_ends,
};

/// What of a text behind its last cut is moved without a thought, in bytes: a game seldom has more.
pub(super) const LITTLE: usize = 64 << 10;

/// Cuts a text into batches, only where the whole text would be cut too: the games of all batches
/// are the games of the text, whatever the sizes and the pieces.
///
/// A batch is usually cut before its last Event line. One without any is passed over as a reader
/// does, and cut where its last whole game ends; it grows until it holds one. Free text is passed
/// over, and so is the rest of a game that is too long to count.
pub(super) struct Cutter {
    size: usize,
    measures: Measures,
    line_ends: LineEnds,
    /// Text behind the last cut, in the first `len` bytes.
    text: Vec<u8>,
    len: usize,
    /// How many bytes there have to be before they are looked at, unless the text ends.
    wanted: usize,
    /// Where games begin in the text.
    from: usize,
    /// Where the text starts in the dump.
    offset: u64,
    index: u64,
    /// Whether there is nothing behind what the source gives.
    last: bool,
    /// Whether all of that was read.
    ended: bool,
    /// Looks for the start of the next game.
    passing: Option<Scan>,
    /// Bytes of text within which the first game must begin.
    patience: u64,
}

/// No game begins within so many bytes.
#[derive(Debug, thiserror::Error)]
#[error("no game begins in its first {0} bytes")]
pub(super) struct NoGameWithin(pub u64);

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

/// A text in the midst of a dump, made ready for [`Cutter::take`] by whoever decompressed it.
pub(super) struct Piece {
    /// The text begins behind [`LITTLE`] bytes of room.
    buffer: Vec<u8>,
    end: usize,
    /// How many bytes at the end of the text the next piece decides about.
    open: usize,
    /// Where it can be cut whatever is before it and after it.
    cut: Option<usize>,
}

impl Piece {
    /// The text of `buffer` from [`LITTLE`] to `end`, of any bytes.
    pub fn new(mut buffer: Vec<u8>, end: usize, measures: Measures) -> Piece {
        let text = &mut buffer[LITTLE..end];
        // About what is at its start the piece before has a say.
        let first = text.iter().take_while(|&&byte| is_of_line_end(byte)).count();
        let open = settle_line_ends(&mut text[first..]);
        let cut = last_cut_inside(text, measures).map(|cut| LITTLE + cut);
        Piece { buffer, end, open, cut }
    }
}

/// Whether a byte may be settled with the line ends.
fn is_of_line_end(byte: u8) -> bool {
    byte == b'\r' || BYTE_ORDER_MARK.contains(&byte)
}

impl Cutter {
    /// Batches of about `size` bytes.
    pub fn new(size: usize, measures: Measures) -> Cutter {
        let mut cutter = Cutter {
            size,
            measures,
            line_ends: LineEnds::default(),
            text: Vec::new(),
            len: 0,
            wanted: 0,
            from: 0,
            offset: 0,
            index: 0,
            last: false,
            ended: false,
            passing: None,
            patience: u64::MAX,
        };
        cutter.wanted = cutter.usual();
        cutter
    }

    /// Gives up if no game begins within so many bytes.
    pub fn set_patience(&mut self, patience: u64) {
        self.patience = patience;
    }

    /// The next batch of what `source` gives, perhaps in the memory of `spare`; `None` if that does
    /// not suffice for one, or at the end.
    ///
    /// # Errors
    ///
    /// If the source fails; what it gave before is not lost. [`NoGameWithin`] the patience.
    pub fn next(
        &mut self,
        spare: &mut Vec<u8>,
        source: &mut dyn Read,
    ) -> io::Result<Option<Batch>> {
        if self.len <= LITTLE && spare.len() >= self.wanted {
            // Into the memory that whoever asks has in its cache.
            spare[..self.len].copy_from_slice(&self.text[..self.len]);
            std::mem::swap(&mut self.text, spare);
        }
        loop {
            self.fill(source)?;
            if self.len < self.wanted && !self.ended {
                return Ok(None);
            }
            match self.look() {
                Next::Batch { end, spent, cut_off } => {
                    return Ok(Some(self.give(end, spent, cut_off, std::mem::take(spare))));
                }
                Next::Drop(count) => {
                    self.text.copy_within(count..self.len, 0);
                    self.len -= count;
                    self.offset += count as u64;
                    self.wanted = self.usual();
                    if self.index == 0 && self.offset > self.patience {
                        return Err(io::Error::other(NoGameWithin(self.patience)));
                    }
                }
                Next::Longer => self.wanted = (2 * self.wanted).min(self.most()),
                Next::Nothing => return Ok(None),
            }
        }
    }

    /// Appends the batches of a piece and of what is before it. Where it can be cut, that is one
    /// batch in the memory of the piece, and what is behind the cut is kept; else it is read like
    /// any other text.
    pub fn take(&mut self, piece: Piece, batches: &mut Vec<Batch>) -> io::Result<()> {
        let Piece { mut buffer, end, open, cut } = piece;
        let is_plain = self.passing.is_none() && self.line_ends.are_settled();
        let Some(cut) = cut else { return self.take_text(&buffer[LITTLE..end], batches) };
        if is_plain && self.len <= LITTLE && !is_of_line_end(buffer[LITTLE]) {
            let start = LITTLE - self.len;
            buffer[start..LITTLE].copy_from_slice(&self.text[..self.len]);
            let batch = self.batch(buffer, start, cut, false);
            self.begin(batch.offset + (cut - start) as u64);
            self.keep(&batch.buffer[cut..end - open]);
            self.line_ends.pass(end - LITTLE, &batch.buffer[end - open..end]);
            batches.push(batch);
            return Ok(());
        }
        self.last = true;
        self.take_text(&buffer[LITTLE..cut], batches)?;
        (self.last, self.ended) = (false, false);
        self.begin(self.line_ends.taken());
        self.keep(&buffer[cut..end - open]);
        self.line_ends.pass(end - cut, &buffer[end - open..end]);
        Ok(())
    }

    fn take_text(&mut self, mut text: &[u8], batches: &mut Vec<Batch>) -> io::Result<()> {
        while let Some(batch) = self.next(&mut Vec::new(), &mut text)? {
            batches.push(batch);
        }
        Ok(())
    }

    /// There is nothing behind what was read: what is left can be had from [`Cutter::next`].
    pub fn end(&mut self) {
        self.last = true;
    }

    pub fn has_ended(&self) -> bool {
        self.last
    }

    /// Bytes of text that were read.
    pub fn taken(&self) -> u64 {
        self.line_ends.taken()
    }

    /// Begins afresh at a cut, where games begin.
    fn begin(&mut self, offset: u64) {
        (self.len, self.from, self.offset, self.passing) = (0, 0, offset, None);
        self.wanted = self.usual();
    }

    /// Keeps the first text behind a cut.
    fn keep(&mut self, text: &[u8]) {
        self.len = text.len();
        if self.text.len() < self.len {
            self.text.resize(self.len, 0);
        }
        self.text[..self.len].copy_from_slice(text);
        self.wanted = self.usual();
    }

    /// Hands out the text up to `end` and goes on after `spent` in other memory.
    fn give(&mut self, end: usize, spent: usize, cut_off: bool, spare: Vec<u8>) -> Batch {
        let text = std::mem::replace(&mut self.text, spare);
        let len = self.len;
        let batch = self.batch(text, 0, end, cut_off);
        self.offset += spent as u64;
        self.keep(&batch.buffer[spent..len]);
        batch
    }

    fn batch(&mut self, buffer: Vec<u8>, start: usize, end: usize, cut_off: bool) -> Batch {
        let index = self.index;
        self.index += 1;
        let (from, measures, offset) = (std::mem::take(&mut self.from), self.measures, self.offset);
        Batch { buffer, start, end, from, cut_off, measures, index, offset }
    }

    /// Enough for a game that is surely too long, behind what is looked back at.
    fn most(&self) -> usize {
        self.size.max(self.measures.longest + 4 * self.measures.reach)
    }

    /// How much to read to, with what is there already.
    fn usual(&self) -> usize {
        self.size.max(2 * self.len).min(self.most())
    }

    /// What to do with the text behind the last cut, as far as it was read.
    fn look(&mut self) -> Next {
        if let Some(scan) = self.passing.take() {
            return self.pass_over(scan);
        }
        let text = &self.text[..self.len];
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
                match end.or(open.map(|_| self.len)) {
                    Some(end) => Next::Batch { end, spent, cut_off: open.is_some() },
                    None => Next::Drop(spent),
                }
            }
        }
    }

    /// Looks for the next game.
    fn pass_over(&mut self, mut scan: Scan) -> Next {
        let text = &self.text[..self.len];
        while let Some(mark) = scan.next_mark(text, !self.ended, &mut |_, _| {}) {
            if let Mark::Start(start) = mark {
                return self.begin_at(start);
            }
        }
        let spent = if self.ended { 0 } else { scan.spent() };
        scan.shift(spent);
        self.passing = Some(scan);
        if self.ended { Next::Nothing } else { Next::Drop(spent) }
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

    /// Reads until as much is there as is wanted, or the source gives no more.
    fn fill(&mut self, source: &mut dyn Read) -> io::Result<()> {
        if self.text.len() < self.wanted {
            self.text.resize(self.wanted, 0);
        }
        while self.len < self.wanted {
            let room = &mut self.text[self.len..self.wanted];
            match self.line_ends.read(source, self.last, room) {
                Ok(0) => {
                    self.ended = self.last;
                    break;
                }
                Ok(count) => self.len += count,
                Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
                Err(error) => return Err(error),
            }
        }
        Ok(())
    }
}
