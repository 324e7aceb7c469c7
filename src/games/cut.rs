//! Where a text can be cut so that each part is read as it is in the whole.

use memchr::memchr;

use super::span::Measures;
use super::text::last_event;

/// The last place in a text at which it can surely be cut: an Event line that begins a game
/// wherever the text began. `None` says nothing.
pub fn last_cut(text: &[u8]) -> Option<usize> {
    last_cut_behind(text, 0, Measures::FIXED)
}

/// The same, behind a place from which on games are to be read.
pub fn last_cut_behind(text: &[u8], from: usize, measures: Measures) -> Option<usize> {
    last_event(text, from, measures.reach)
}

/// The same in a text of which nothing is known but these bytes: it may begin in the
/// midst of a line.
pub fn last_cut_inside(text: &[u8], measures: Measures) -> Option<usize> {
    let first_line = memchr(b'\n', text)? + 1;
    last_event(text, first_line, measures.reach)
}
