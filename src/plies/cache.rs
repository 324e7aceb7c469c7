//! Remembers what words mean in positions that many games share.

use shakmaty::Chess;

use super::board::KeyedBoard;
use crate::terms::{Key, MoveCode};

/// A table from (position, word) to what the move leads to, with one place for each hash; the latest
/// comer takes it if it was also the last to ask for it in vain.
///
/// Most games of a dump pass through the same few thousand positions in their first plies, where a
/// look-up is cheaper than finding the move on the board and playing it. What comes once is kept out: it would push out
/// what comes often, and a place that is written is one more that has to be near the processor.
#[derive(Clone, Debug)]
pub(super) struct MoveCache {
    slots: Vec<Slot>,
    /// The position behind the move of each slot: asked for once a game, so apart.
    boards: Vec<KeyedBoard>,
    /// A few bits of the hash of what was not found last in each place.
    missed: Vec<u8>,
}

/// Two of them fill a line of the processor's caches.
#[derive(Clone, Copy, Debug)]
#[repr(align(32))]
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

/// A SAN word of up to seven letters, as every one of the standard is without its check sign: the letters from the
/// lowest byte on, and how many in the highest.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct SanWord(u64);

impl SanWord {
    /// `None` for a word that is too long. Without a loop: the first four letters and the last, or the
    /// first, the middle and the last.
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

const SLOT_BITS: u32 = 13;
const PLACES: usize = 1 << SLOT_BITS;

impl MoveCache {
    pub(super) fn new() -> MoveCache {
        let start = KeyedBoard::from(&Chess::default());
        let code = MoveCode::from_bits(0).expect("a code");
        let step = Step { code, is_zeroing: false, next: Key(0) };
        let empty = Slot { key: Key(0), word: SanWord::default(), step };
        MoveCache {
            slots: vec![empty; PLACES],
            boards: vec![start; PLACES],
            missed: vec![0; PLACES],
        }
    }

    fn hash(key: Key, word: SanWord) -> u64 {
        (key.0 ^ word.0.wrapping_mul(0x9e37_79b9_7f4a_7c15)).wrapping_mul(0xff51_afd7_ed55_8ccd)
    }

    fn place(hash: u64) -> usize {
        (hash >> (64 - SLOT_BITS)) as usize
    }

    /// The step, and where its board is until the next is put.
    pub(super) fn get(&self, key: Key, word: SanWord) -> Option<(Step, usize)> {
        let place = Self::place(Self::hash(key, word));
        let slot = &self.slots[place];
        (slot.key == key && slot.word == word).then_some((slot.step, place))
    }

    /// The board behind a step that was just got.
    pub(super) fn board(&self, place: usize) -> &KeyedBoard {
        &self.boards[place]
    }

    /// Takes a step that was asked for in vain, if it was so the time before.
    pub(super) fn put(&mut self, key: Key, word: SanWord, step: Step, behind: &KeyedBoard) {
        let hash = Self::hash(key, word);
        let (place, mark) = (Self::place(hash), (hash >> 32) as u8);
        if std::mem::replace(&mut self.missed[place], mark) == mark {
            self.slots[place] = Slot { key, word, step };
            self.boards[place].clone_from(behind);
        }
    }
}
