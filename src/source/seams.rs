//! The text of a dump that several threads decompress, put together in order.
//!
//! Parallel compressors write a dump as frames that need nothing of each other. The heads of a
//! frame and of its blocks say how long it is and how much text it can hold, so the reader walks
//! over them and hands frames out compressed, many small ones together. Each worker decompresses
//! its own into the memory in which it counts, settles its line ends and looks for its last Event
//! line that begins a game whatever was before; all that needs no other frame. Then it is let in,
//! in the order of the dump: it puts the text that was left over before its own and leaves what is
//! after its cut. So games that the end of a frame cuts are put together once, and batches are
//! numbered and placed as if one thread had read them all.
//!
//! A text without such a line (games that begin with another tag, tiny frames, a game that is too
//! long) goes through the `Cutter` in its turn, as any other text does. Frames with more text than
//! a worker's share, and a frame that is all there is, are decoded in turn. Nothing counts after a
//! damaged frame, whichever worker decompressed what. Other compressions are read in turn, which
//! bounds the speed of a build on many processors.

use std::io;
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};

use super::cutter::{Cutter, LITTLE, Piece};
use super::open::DumpLabel;
use super::zstd_frames::WholeFrames;
use super::{Batch, SourceError};
use crate::games::Measures;

/// Where the text of a dump is put together.
///
/// What was handed out is numbered, and each is let in in its turn: so a game that goes on in the
/// next frame is put together from both, whichever was decompressed first, and every batch has its
/// number and its place. A worker that decompresses waits only for those before, who began earlier,
/// and never for their counting.
pub(super) struct Seams {
    turn: Mutex<Turn>,
    passed: Condvar,
}

pub(super) struct Turn {
    label: DumpLabel,
    /// Whose turn it is.
    next: u64,
    pub cutter: Cutter,
    /// The error behind the text that could be read.
    broken: Option<SourceError>,
}

impl Turn {
    /// What was read so far is all that can be had.
    pub fn break_off(&mut self, error: io::Error) {
        self.cutter.end();
        self.broken = Some(self.label.failed(self.cutter.taken(), error));
    }

    /// Why the text ends where it does, if that is not its end.
    pub fn take_error(&mut self) -> Option<SourceError> {
        self.broken.take()
    }
}

impl Seams {
    pub fn new(label: DumpLabel, cutter: Cutter) -> Seams {
        let turn = Turn { label, next: 0, cutter, broken: None };
        Seams { turn: Mutex::new(turn), passed: Condvar::new() }
    }

    /// Waits until all before `number` have been let in.
    pub fn wait_for(&self, number: u64) -> MutexGuard<'_, Turn> {
        let turn = self.now();
        let waited = self.passed.wait_while(turn, |turn| turn.next < number);
        waited.unwrap_or_else(PoisonError::into_inner)
    }

    /// As it is now, whosever turn it is.
    pub fn now(&self) -> MutexGuard<'_, Turn> {
        self.turn.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// Whole zstd frames of a dump, still compressed. All that read the dump wait for the one
/// that has them.
pub struct Packed {
    frames: WholeFrames,
    /// Memory for the text.
    buffer: Vec<u8>,
    measures: Measures,
    turn: Option<(u64, Arc<Seams>)>,
}

impl Packed {
    pub(super) fn new(
        frames: WholeFrames,
        buffer: Vec<u8>,
        measures: Measures,
        number: u64,
        seams: &Arc<Seams>,
    ) -> Packed {
        Packed { frames, buffer, measures, turn: Some((number, Arc::clone(seams))) }
    }

    /// Bytes that they take, decompressed and compressed.
    pub fn memory(&self) -> usize {
        self.frames.most + self.frames.bytes.len()
    }

    /// Decompresses them, and hands out what can be cut from their text and the text before.
    pub fn unpack(mut self) -> Vec<Batch> {
        let buffer = std::mem::take(&mut self.buffer);
        let (buffer, end, read) = self.frames.decompress(buffer, LITTLE);
        let piece = Piece::new(buffer, end, self.measures);
        self.pass(Some((piece, read)))
    }

    fn pass(&mut self, unpacked: Option<(Piece, io::Result<()>)>) -> Vec<Batch> {
        let Some((number, seams)) = self.turn.take() else { return Vec::new() };
        let mut turn = seams.wait_for(number);
        turn.next += 1;
        seams.passed.notify_all();
        // Nothing counts behind what is damaged.
        if turn.cutter.has_ended() {
            return Vec::new();
        }
        let Some((piece, read)) = unpacked else {
            turn.break_off(io::Error::other("it was given up"));
            return Vec::new();
        };
        let mut batches = Vec::new();
        turn.cutter
            .take(piece, &mut batches)
            .and(read)
            .unwrap_or_else(|error| turn.break_off(error));
        batches
    }
}

impl Drop for Packed {
    /// Nobody is to wait for frames that nobody decompresses any more.
    fn drop(&mut self) {
        self.pass(None);
    }
}
