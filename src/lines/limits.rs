//! Limits of what a person writes, so that whatever is named by mistake, such as a dump, is refused
//! at once and no text takes more memory than a few hundred times its size.

use std::borrow::Cow;
use std::fmt;

/// Bytes of a file of traps, of claims or of prepared lines.
pub const MOST_BYTES: usize = 4 << 20;
/// Traps of a file; a lesson on so many takes a second.
pub const MOST_TRAPS: usize = 500;
/// Half-moves of all traps of a file, each counted from its first move on.
pub const MOST_IN_TRAPS: usize = 40_000;
/// Claims of a file.
pub const MOST_CLAIMS: usize = 2_000;
/// Half-moves of a line.
pub const MOST_HALF_MOVES: usize = 400;
/// Moves marked as slips in one game.
pub const MOST_SLIPS: usize = 100;
/// Moves of one game with all its variations.
pub const MOST_MOVES: usize = 200_000;
/// Half-moves of all lines of a file of prepared lines, each line counted from its first move on.
pub const MOST_PREPARED: usize = 400_000;
/// Games of one student.
pub const MOST_OWN_GAMES: usize = 100_000;
/// Letters of the name of a trap; the rest is cut off.
pub const LONGEST_NAME: usize = 300;

/// Letters of a text of others that a message quotes.
const QUOTED: usize = 60;

/// Letters of a line of moves that a message quotes; forty half-moves have fewer.
const QUOTED_LINE: usize = 320;

/// The start of a text of any length, to be quoted in a message.
pub(super) struct Shown<'a>(pub &'a str);

impl fmt::Display for Shown<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&start_of(self.0, QUOTED))
    }
}

/// A name of others, no longer than it may be.
pub(super) fn shortened(name: &str) -> String {
    start_of(name, LONGEST_NAME).into_owned()
}

/// The end of a line of moves, for a message: where something is wrong lies there.
pub(super) fn end_of(line: &str) -> Cow<'_, str> {
    let Some((start, _)) = line.char_indices().rev().nth(QUOTED_LINE) else {
        return Cow::Borrowed(line);
    };
    let end = line[start..].split_once(' ').map_or(&line[start..], |(_, end)| end);
    Cow::Owned(format!("\u{2026} {end}"))
}

fn start_of(text: &str, letters: usize) -> Cow<'_, str> {
    match text.char_indices().nth(letters) {
        None => Cow::Borrowed(text),
        Some((end, _)) => Cow::Owned(format!("{}\u{2026}", &text[..end])),
    }
}
