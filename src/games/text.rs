//! Lines and places in the text of a dump.

use std::ops::Range;

use memchr::{memchr, memchr2, memmem, memrchr, memrchr2};

const EVENT: &[u8] = b"[Event \"";
const BYTE_ORDER_MARK: &[u8] = b"\xef\xbb\xbf";

/// Whether a byte separates words. A byte order mark is handled by [`skip_byte_order_mark`].
pub(super) fn is_space(byte: u8) -> bool {
    matches!(byte, b' ' | b'\t' | b'\r' | b'\n' | 0x0b | 0x0c)
}

/// The place behind a byte order mark at `at`, or `at`.
pub(super) fn skip_byte_order_mark(text: &[u8], at: usize) -> usize {
    if text[at..].starts_with(BYTE_ORDER_MARK) { at + BYTE_ORDER_MARK.len() } else { at }
}

/// The place of the next line break at or behind `at`, or the end.
pub(super) fn line_end(text: &[u8], at: usize) -> usize {
    memchr(b'\n', &text[at..]).map_or(text.len(), |offset| at + offset)
}

/// Whether the line break at `at` ends the movetext: an empty line or a `[` follows.
pub(super) fn ends_movetext(text: &[u8], at: usize) -> bool {
    match text.get(at + 1) {
        None | Some(b'[' | b'\n') => true,
        Some(b'\r') => matches!(text.get(at + 2), None | Some(b'\n')),
        _ => false,
    }
}

/// What stands behind a brace comment.
pub(super) enum Close {
    /// The place behind its `}`.
    At(usize),
    /// It never ends: the place where the next game starts, or the end of the text.
    Never(usize),
}

/// Finds the end of the brace comment whose inside starts at `at`.
pub(super) fn close_comment(text: &[u8], mut at: usize) -> Close {
    loop {
        match memchr2(b'}', b'\n', &text[at..]) {
            None => return Close::Never(text.len()),
            Some(offset) if text[at + offset] == b'}' => return Close::At(at + offset + 1),
            Some(offset) => {
                at += offset + 1;
                if text[at..].starts_with(EVENT) {
                    return Close::Never(at);
                }
                if is_tag_start(text, at) && follows_end_marker(text, at, true) {
                    return closed_behind(text, at).map_or(Close::Never(at), Close::At);
                }
            }
        }
    }
}

/// The end of a comment that is open at `at`, where a game seems to start, if it is closed before
/// another is opened and before the next `[Event "`: then it really reaches over that game and all
/// others before its end.
fn closed_behind(text: &[u8], at: usize) -> Option<usize> {
    let end = at + memchr2(b'{', b'}', &text[at..])?;
    let mut events = memmem::find_iter(&text[at..end], EVENT);
    let closes = text[end] == b'}' && !events.any(|event| text[at + event - 1] == b'\n');
    closes.then_some(end + 1)
}

fn is_tag_start(text: &[u8], at: usize) -> bool {
    text[at..].first() == Some(&b'[') && text.get(at + 1).is_some_and(u8::is_ascii_alphabetic)
}

/// Whether a tag section that starts at `at` is plainly that of another game than the text before.
pub(super) fn starts_game(text: &[u8], at: usize) -> bool {
    let is_event = text[at..].starts_with(EVENT);
    is_tag_start(text, at) && follows_end_marker(text, at, !is_event)
}

/// Whether the last line with words before `at` ends with an end marker and is neither a tag pair
/// nor a whole-line comment; with `after_gap`, only if an empty line stands between.
fn follows_end_marker(text: &[u8], at: usize, after_gap: bool) -> bool {
    let before = text[..at].trim_ascii_end();
    let gap = text[before.len()..at].iter().filter(|&&byte| byte == b'\n').count();
    let line = &before[memrchr(b'\n', before).map_or(0, |place| place + 1)..];
    gap > usize::from(after_gap)
        && !matches!(line.first(), Some(b'[' | b'%' | b';'))
        && [&b"1-0"[..], b"0-1", b"1/2-1/2", b"*"].iter().any(|marker| line.ends_with(marker))
}

/// The last place in `text` at which a game surely starts, so that the text can be cut there
/// without a difference to any game; `None` if there is none but perhaps the very beginning.
pub fn last_cut(text: &[u8]) -> Option<usize> {
    let mut open = 0..0;
    let mut places = memmem::rfind_iter(text, TAG_LINE).map(|place| place + 1);
    places.find(|&at| is_cut(text, at, &mut open))
}

/// The first such place.
pub fn first_cut(text: &[u8]) -> Option<usize> {
    let mut open = 0..0;
    let mut places = memmem::find_iter(text, TAG_LINE).map(|place| place + 1);
    places.find(|&at| is_cut(text, at, &mut open))
}

const TAG_LINE: &[u8] = b"\n[";

fn is_cut(text: &[u8], at: usize, open: &mut Range<usize>) -> bool {
    starts_game(text, at) && (text[at..].starts_with(EVENT) || !is_in_comment(text, at, open))
}

/// Whether a comment may be open at `at`; `open` remembers where one was found open last, so that
/// no text is looked through again for each place in a long comment.
fn is_in_comment(text: &[u8], at: usize, open: &mut Range<usize>) -> bool {
    if open.contains(&at) {
        return true;
    }
    let from = if at >= open.end { open.end } else { 0 };
    match memrchr2(b'{', b'}', &text[from..at]) {
        Some(brace) if text[from + brace] == b'{' => *open = from + brace + 1..at + 1,
        None if from > 0 => open.end = at + 1,
        _ => return false,
    }
    true
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_last_game_start_is_where_to_cut() {
        let text = b"[Event \"a\"]\n\n1. e4 1-0\n\n[Event \"b\"]\n[Site \"c\"]\n\n1. d4";
        assert_eq!(last_cut(text), Some(24));
        assert_eq!(last_cut(&text[..24]), None);
    }

    #[test]
    fn games_without_a_gap_are_cut_at_their_event() {
        let text = b"[Event \"a\"]\n1. e4 1-0\n[Event \"b\"]\n1. d4 *\n";
        assert_eq!(last_cut(text), Some(22));
    }

    #[test]
    fn a_tag_behind_a_broken_game_is_no_cut() {
        assert_eq!(last_cut(b"[Event \"a\"]\n\n1. e4 e5\n\n[Site \"b\"]\n"), None);
        assert_eq!(last_cut(b"[Event \"a 1-0\"]\n\n[Site \"b\"]\n"), None);
    }

    #[test]
    fn inside_a_comment_only_an_event_is_a_cut() {
        let text = b"[Site \"a\"]\n\n1. e4 {1-0\n\n[Site \"b\"]\n\n} e5 1-0\n\n[Site \"c\"]\n";
        assert_eq!(last_cut(text), Some(46));
        assert_eq!(last_cut(&text[..46]), None);
        assert!(last_cut(b"[Event \"a\"]\n\n1. e4 {1-0\n\n[Event \"b\"]\n").is_some());
    }

    /// Each place looked at anew would take minutes.
    #[test]
    fn a_long_comment_full_of_games_is_looked_through_once() {
        let games = "1-0\n\n[Site \"x\"]\n\n".repeat(400_000);
        let text = format!("[Site \"a\"]\n\n1. e4 {{{games}}} 1-0\n");
        assert_eq!((first_cut(text.as_bytes()), last_cut(text.as_bytes())), (None, None));
        let inside = text.find('{').expect("a comment") + 1;
        let close = close_comment(text.as_bytes(), inside);
        assert!(matches!(close, Close::At(end) if end == inside + games.len() + 1));
    }

    #[test]
    fn a_comment_ends_at_its_brace_or_at_the_next_game() {
        let place = |text: &[u8]| match close_comment(text, 0) {
            Close::At(at) => (true, at),
            Close::Never(at) => (false, at),
        };
        assert_eq!(place(b"a\n[b] } c"), (true, 7));
        assert_eq!(place(b"a\n[Event \"x\"]"), (false, 2));
        assert_eq!(place(b"a 1-0\n\n[Site \"x\"] {b}"), (false, 7));
        assert_eq!(place(b"a 1-0\n\n[Site \"x\"] 1. d4 *"), (false, 7));
        assert_eq!(place(b"a 1-0\n\n[Site \"x\"]\n\nstill}"), (true, 25));
        assert_eq!(place(b"a 1-0\n\n[Site \"x\"]\n\n[Event \"y\"] }"), (false, 7));
        assert_eq!(place(b"never"), (false, 5));
    }
}
