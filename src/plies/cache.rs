//! Remembers what words mean in positions that many games share.

use shakmaty::Chess;

use super::board::KeyedBoard;
use crate::terms::{Key, MoveCode};

/// A table from (position, word) to what the move leads to, with one place for each hash; the latest
/// comer takes it.
///
/// Most games of a dump pass through the same few thousand positions in their first plies, where a
/// look-up is cheaper than finding the move on the board and playing it.
#[derive(Clone, Debug)]
pub(super) struct MoveCache {
    slots: Vec<Slot>,
    /// The position behind the move of each slot: asked for once a game, so apart.
    boards: Vec<KeyedBoard>,
}

#[derive(Clone, Copy, Debug)]
struct Slot {
    key: Key,
    word: SanWord,
    step: Step,
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

/// A SAN word of up to seven letters, as every one of the standard is without its check sign.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct SanWord {
    letters: u64,
    length: u8,
}

impl SanWord {
    /// `None` for a word that is too long. Without a loop: the first four letters and the last, or the
    /// first, the middle and the last.
    pub(super) fn new(san: &[u8]) -> Option<SanWord> {
        let length = san.len();
        let letters = match (san.first_chunk(), san.last_chunk()) {
            (Some(first), Some(last)) if length < 8 => {
                u64::from(u32::from_le_bytes(*first)) | u64::from(u32::from_le_bytes(*last)) << 32
            }
            (None, _) if length > 0 => {
                let [first, middle, last] =
                    [0, length / 2, length - 1].map(|at| u64::from(san[at]));
                first | middle << 8 | last << 16
            }
            _ => return None,
        };
        Some(SanWord { letters, length: length as u8 })
    }
}

const SLOT_BITS: u32 = 13;

impl MoveCache {
    pub(super) fn new() -> MoveCache {
        let start = KeyedBoard::from(&Chess::default());
        let code = MoveCode::from_bits(0).expect("a code");
        let step = Step { code, is_zeroing: false, next: Key(0) };
        let empty = Slot { key: Key(0), word: SanWord::default(), step };
        MoveCache { slots: vec![empty; 1 << SLOT_BITS], boards: vec![start; 1 << SLOT_BITS] }
    }

    fn place(key: Key, word: SanWord) -> usize {
        let mixed = (key.0 ^ word.letters.wrapping_mul(0x9e37_79b9_7f4a_7c15))
            .wrapping_mul(0xff51_afd7_ed55_8ccd);
        (mixed >> (64 - SLOT_BITS)) as usize
    }

    /// The step, and where its board is until the next is put.
    pub(super) fn get(&self, key: Key, word: SanWord) -> Option<(Step, usize)> {
        let place = Self::place(key, word);
        let slot = &self.slots[place];
        (slot.key == key && slot.word == word).then_some((slot.step, place))
    }

    /// The board behind a step that was just got.
    pub(super) fn board(&self, place: usize) -> &KeyedBoard {
        &self.boards[place]
    }

    pub(super) fn put(&mut self, key: Key, word: SanWord, step: Step, behind: &KeyedBoard) {
        let place = Self::place(key, word);
        self.slots[place] = Slot { key, word, step };
        self.boards[place].clone_from(behind);
    }
}
