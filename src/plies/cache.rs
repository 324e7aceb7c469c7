//! Remembers what words mean in positions that many games share.

use shakmaty::Color;

use super::board::{KeyedBoard, PackedBoard};
use crate::terms::{Key, MoveCode};

/// A table from (position, word) to what the move leads to, with one place for each hash of the
/// words up to there; the latest comer takes it if it was also the last to ask for it in vain.
///
/// Most games of a dump pass through the same few thousand positions in their first plies, where a
/// look-up is cheaper than finding the move on the board and playing it. What comes once is kept
/// out: it would push out what comes often, and a place that is written is one more that has to be
/// near the processor. Places go by the words alone, so that the processor can fetch the next one
/// before it has the last. Nearly every game asks for one step in vain: marks tell that without a
/// look at the place itself, which is often far from the processor.
#[derive(Clone, Debug)]
pub(super) struct MoveCache {
    slots: Vec<Slot>,
    marks: Vec<Marks>,
}

/// A few bits of two paths that end at one place.
#[derive(Clone, Copy, Debug, Default)]
struct Marks {
    /// Of the one whose step is there.
    held: u8,
    /// Of the one that was not found last.
    missed: u8,
}

/// A line of the processor's caches.
#[derive(Clone, Copy, Debug)]
#[repr(align(64))]
struct Slot {
    key: Key,
    word: SanWord,
    step: Step,
    behind: PackedBoard,
}

/// A hash of the words of a game up to some place.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Path(u64);

impl Path {
    pub(super) fn with(self, word: SanWord) -> Path {
        Path((self.0.rotate_left(29) ^ word.0).wrapping_mul(0x9e37_79b9_7f4a_7c15))
    }

    fn place(self) -> usize {
        (self.0 >> 32) as usize % PLACES
    }

    fn mark(self) -> u8 {
        (self.0 >> 56) as u8
    }
}

/// What a word stands for in a position.
#[derive(Clone, Copy, Debug)]
pub(super) struct Step {
    pub code: MoveCode,
    /// Whether it is a capture or a pawn's move, behind which no position before it comes back.
    pub is_zeroing: bool,
    /// The position behind it.
    pub next: Key,
}

/// A SAN word of up to seven letters, as every one of the standard is without its check sign: the
/// letters from the lowest byte on, and how many in the highest.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct SanWord(u64);

impl SanWord {
    /// `None` for a word that is too long. Without a loop: the first four letters and the last, or
    /// the first, the middle and the last.
    pub(super) fn new(san: &[u8]) -> Option<SanWord> {
        let length = san.len();
        let letters = match (san.first_chunk(), san.last_chunk()) {
            (Some(first), Some(last)) if length < 8 => {
                let [first, last] = [first, last].map(|four| u64::from(u32::from_le_bytes(*four)));
                first | last << (8 * (length - 4))
            }
            (None, _) if length > 0 => {
                let [first, middle, last] =
                    [0, length / 2, length - 1].map(|at| u64::from(san[at]));
                first | middle << 8 | last << 16
            }
            _ => return None,
        };
        Some(SanWord(letters | (length as u64) << 56))
    }
}

const PLACES: usize = 1 << 13;

impl MoveCache {
    pub(super) fn new() -> MoveCache {
        let code = MoveCode::from_bits(0).expect("a code");
        let step = Step { code, is_zeroing: false, next: Key(0) };
        let (word, behind) = (SanWord::default(), PackedBoard::default());
        let empty = Slot { key: Key(0), word, step, behind };
        MoveCache { slots: vec![empty; PLACES], marks: vec![Marks::default(); PLACES] }
    }

    /// What a word stands for in a position, which with it is at the end of a path.
    pub(super) fn get(&self, path: Path, key: Key, word: SanWord) -> Option<Step> {
        if self.marks[path.place()].held != path.mark() {
            return None;
        }
        let slot = &self.slots[path.place()];
        (slot.key == key && slot.word == word).then_some(slot.step)
    }

    /// The board of a position behind a path on which every step was got, until the next is put.
    pub(super) fn board(&self, path: Path, turn: Color, key: Key) -> KeyedBoard {
        self.slots[path.place()].behind.unpack(turn, key)
    }

    /// Takes a step that was asked for in vain, if it was so the time before.
    pub(super) fn put(
        &mut self,
        path: Path,
        key: Key,
        word: SanWord,
        step: Step,
        behind: &KeyedBoard,
    ) {
        let (marks, mark) = (&mut self.marks[path.place()], path.mark());
        if std::mem::replace(&mut marks.missed, mark) == mark {
            marks.held = mark;
            self.slots[path.place()] = Slot { key, word, step, behind: behind.into() };
        }
    }
}
