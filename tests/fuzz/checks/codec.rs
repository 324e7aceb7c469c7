//! A position's counts as bytes: what is accepted has one form only.

use deadfall::store::codec::{decode_body, encode_body};
use deadfall::terms::Key;

/// Any bytes are refused, or they are what the counts in them are written as.
pub fn check(bytes: &[u8]) {
    let Ok(position) = decode_body(Key(7), None, bytes) else { return };
    let mut again = Vec::new();
    let head = encode_body(&position, &mut again);
    assert_eq!(again, bytes, "{position:?}");
    let cells: usize = position.moves.iter().map(|mv| mv.cells.len()).sum();
    assert_eq!((head.games, head.cells), (position.games(), cells as u64));
    assert_eq!(head.may_lack, position.may_lack);
}
