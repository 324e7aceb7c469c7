//! Remembers what words mean in positions that many games share.

use shakmaty::Move;

use crate::terms::Key;

/// A table from (position, word) to (move, next position) with one place for each hash; the latest
/// comer takes it.
///
/// Most games of a dump pass through the same few thousand positions in their first plies, where a
/// look-up is cheaper than finding the move on the board and hashing the next position.
#[derive(Clone, Debug)]
pub(super) struct MoveCache {
    slots: Vec<Slot>,
}

#[derive(Clone, Copy, Debug)]
struct Slot {
    key: Key,
    word: SanWord,
    next: Key,
    mv: Move,
}

/// A SAN word of up to seven letters, as every one of the standard is without its check sign.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct SanWord(u64);

impl SanWord {
    /// `None` for a word that is too long. The length stands before the letters, since a letter may be
    /// zero where a text is damaged.
    pub(super) fn new(san: &[u8]) -> Option<SanWord> {
        let letters = |word, &letter| word << 8 | u64::from(letter);
        (san.len() < 8).then(|| SanWord(san.iter().fold(san.len() as u64, letters)))
    }
}

const SLOT_BITS: u32 = 13;

impl MoveCache {
    pub(super) fn new() -> MoveCache {
        let nothing = Move::Put { role: shakmaty::Role::Pawn, to: shakmaty::Square::A1 };
        let empty = Slot { key: Key(0), word: SanWord(0), next: Key(0), mv: nothing };
        MoveCache { slots: vec![empty; 1 << SLOT_BITS] }
    }

    fn place(key: Key, word: SanWord) -> usize {
        let mixed = (key.0 ^ word.0.wrapping_mul(0x9e37_79b9_7f4a_7c15))
            .wrapping_mul(0xff51_afd7_ed55_8ccd);
        (mixed >> (64 - SLOT_BITS)) as usize
    }

    pub(super) fn get(&self, key: Key, word: SanWord) -> Option<(Move, Key)> {
        let slot = &self.slots[Self::place(key, word)];
        (slot.key == key && slot.word == word).then_some((slot.mv, slot.next))
    }

    pub(super) fn put(&mut self, key: Key, word: SanWord, mv: Move, next: Key) {
        self.slots[Self::place(key, word)] = Slot { key, word, next, mv };
    }
}
