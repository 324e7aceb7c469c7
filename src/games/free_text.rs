//! Words outside movetexts: which of them are moves.

use shakmaty::san::San;

use super::text::{END_MARKERS, is_space};

/// What a word of free text may be.
pub(super) enum Word {
    /// A move, perhaps behind its number.
    Move,
    /// A number of so many letters, which may have a move behind it.
    Number(usize),
    Text,
}

/// A longer word is no move.
const LONGEST_WORD: usize = 255;

/// What the word at the start of `ahead` is, of which no more than `reach` bytes can be seen.
pub(super) fn word(ahead: &[u8], reach: usize) -> Word {
    let length = ahead.iter().take_while(|&&byte| !is_space(byte)).count();
    let word = &ahead[..length];
    let is_number = |byte: &&u8| byte.is_ascii_digit() || **byte == b'.';
    let number = word.iter().take_while(is_number).count();
    match number {
        _ if length > LONGEST_WORD || length == reach => Word::Text,
        _ if is_move(&word[number..]) => Word::Move,
        _ if number == length => Word::Number(length),
        _ => Word::Text,
    }
}

/// Whether what comes next can only stand among moves, though it is none.
pub(super) fn begins_like_moves(ahead: &[u8]) -> bool {
    matches!(ahead[0], b'(' | b')' | b'$') || END_MARKERS.iter().any(|end| ahead.starts_with(end))
}

/// Whether a word of free text is a move.
fn is_move(word: &[u8]) -> bool {
    let marks =
        word.iter().rev().take_while(|byte| matches!(byte, b'+' | b'#' | b'!' | b'?')).count();
    // No null move and no drop: a line of dashes is text.
    matches!(San::from_ascii(&word[..word.len() - marks]), Ok(San::Normal { .. } | San::Castle(_)))
}
