//! A position's counts as bytes: what is accepted has one form only.

use deadfall::store::codec::{decode_body, decode_head, encode_body};
use deadfall::terms::Key;

/// Any bytes are refused, or they are what the counts in them are written as.
pub fn check(bytes: &[u8]) {
    let Ok(position) = decode_body(Key(7), None, bytes) else { return };
    let mut again = Vec::new();
    encode_body(&position, &mut again);
    assert_eq!(again, bytes, "{position:?}");
    let head = decode_head(bytes).expect("the whole was read");
    let cells: usize = position.moves.iter().map(|mv| mv.cells.len()).sum();
    assert_eq!((head.games, head.cells), (position.games(), cells as u64));
    assert_eq!(head.may_lack, position.may_lack);
}
