//! Bytes, lines and places in the text of a dump.

use memchr::{memchr, memchr2, memmem, memrchr, memrchr2};

/// How a line begins with which a game begins wherever it stands.
const EVENT: &[u8] = b"[Event \"";
const EVENT_LINE: &[u8] = b"\n[Event \"";
pub(super) const END_MARKERS: [&[u8]; 4] = [b"1-0", b"0-1", b"1/2-1/2", b"*"];

/// Whether a byte separates words.
pub(super) fn is_space(byte: u8) -> bool {
    matches!(byte, b' ' | b'\t' | b'\r' | b'\n' | 0x0b | 0x0c)
}

/// The place of the next line break at or behind `at`, or the end.
pub(super) fn line_end(text: &[u8], at: usize) -> usize {
    memchr(b'\n', &text[at..]).map_or(text.len(), |offset| at + offset)
}

/// Whether a line begins at `at`.
pub(super) fn begins_line(text: &[u8], at: usize) -> bool {
    at == 0 || text[at - 1] == b'\n'
}

/// Whether a line that begins with `[Event "` begins at `at`.
pub(super) fn is_event(text: &[u8], at: usize) -> bool {
    text[at..].starts_with(EVENT) && begins_line(text, at)
}

/// Whether an Event line is in the text, behind its start.
pub(super) fn holds_event(text: &[u8]) -> bool {
    memmem::find(text, EVENT_LINE).is_some()
}

/// Whether the line before the one that begins at `at` begins with `[`; it is looked for within
/// `reach` bytes.
pub(super) fn follows_bracket(text: &[u8], at: usize, reach: usize) -> bool {
    let from = at.saturating_sub(reach);
    let Some((_, before)) = text[from..at].split_last() else { return false };
    match memrchr(b'\n', before) {
        Some(line_break) => text[from + line_break + 1] == b'[',
        None => from == 0 && text[0] == b'[',
    }
}

/// Whether an open tag pair seems to begin at the start of `text`.
pub(super) fn seems_tag(text: &[u8]) -> bool {
    text.first() == Some(&b'[') && text.get(1).is_some_and(u8::is_ascii_alphabetic)
}

/// Whether the last line with words in `before` ends with an end marker, and an empty line follows.
pub(super) fn ends_game(before: &[u8]) -> bool {
    breaks_at_end(before) > 1 && ends_with_marker(before)
}

/// How many line breaks are in the white space at the end of `text`.
pub(super) fn breaks_at_end(text: &[u8]) -> usize {
    let space = text.iter().rev().take_while(|&&byte| is_space(byte));
    space.filter(|&&byte| byte == b'\n').count()
}

/// Whether the last word of `text` ends with an end marker.
pub(super) fn ends_with_marker(text: &[u8]) -> bool {
    let words = text.trim_ascii_end();
    END_MARKERS.iter().any(|marker| words.ends_with(marker))
}

/// Whether there is nothing but carriage returns before the next line break.
pub(super) fn begins_empty_line(text: &[u8]) -> bool {
    text.iter().find(|&&byte| byte != b'\r') == Some(&b'\n')
}

/// Whether a line break ends the movetext before it, told by what stands `behind` it: an empty
/// line, a line that begins with `[`, or nothing.
pub(super) fn ends_movetext(behind: &[u8]) -> bool {
    let returns = behind.iter().take_while(|&&byte| byte == b'\r').count();
    match behind.get(returns) {
        None | Some(b'\n') => true,
        byte => returns == 0 && byte == Some(&b'['),
    }
}

/// The last place in `text` behind `from` at which a game begins wherever the text began. Finding
/// none says nothing. `reach` is as in [`follows_bracket`].
pub(super) fn last_event(text: &[u8], from: usize, reach: usize) -> Option<usize> {
    memmem::rfind_iter(&text[from..], EVENT_LINE)
        .map(|line_break| from + line_break + 1)
        .find(|&at| !follows_bracket(text, at, reach))
}

/// The end of the line that goes on at `at` outside comments, if it is plain to see that no comment
/// is open there; for speed only.
pub(super) fn end_of_plain_line(text: &[u8], at: usize) -> Option<usize> {
    let end = at + memchr2(b'\n', b';', &text[at..])?;
    let line = &text[at..end];
    let is_closed = memrchr2(b'{', b'}', line).is_none_or(|brace| line[brace] == b'}');
    (text[end] == b'\n' && is_closed).then_some(end)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_event_is_where_to_cut_unless_it_stands_below_another_tag() {
        let last = |text: &str| last_event(text.as_bytes(), 0, 64);
        assert_eq!(last("[Event \"a\"]\n\n1. e4 1-0\n\n[Event \"b\"]\n\n1. d4"), Some(24));
        assert_eq!(last("[Event \"a\"]\n1. e4 {\n[Event \"b\"]\n1. d4 *\n"), Some(20));
        assert_eq!(last("1. e4\n\n[Site \"b\"]\n[Event \"b\"]\n"), None);
        assert_eq!(last("[Site \"b\"]\n[Event \"b\"]\n"), None);
        assert_eq!(last("[Event \"a\"]\n"), None);
        assert_eq!(last("\n[Event \"a\"]\n"), Some(1));
    }

    #[test]
    fn a_game_ends_with_its_marker_and_an_empty_line() {
        assert!(ends_game(b"e4 1-0\n\n") && ends_game(b"*\r\n \r\n\n"));
        assert!(!ends_game(b"e4 1-0\n") && !ends_game(b"e4\n\n") && !ends_game(b""));
    }

    #[test]
    fn a_movetext_ends_at_an_empty_line_and_at_a_bracket() {
        for behind in ["", "\n", "\r\n", "\r\r\nx", "\r", "[x"] {
            assert!(ends_movetext(behind.as_bytes()), "{behind:?}");
        }
        for behind in ["x", " \n", "\rx", "\r[", "%"] {
            assert!(!ends_movetext(behind.as_bytes()), "{behind:?}");
        }
    }
}
