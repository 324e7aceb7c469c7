//! What stands between two parts of one game: an empty line within its moves, words between its tags.
//!
//! Readers of PGN end a game at the first empty line behind its moves. Here a game without an end marker
//! goes on behind it if what comes next cannot begin a game: a move number other than that of
//! White's first move, a bracket with a numbered move, or an end marker on a line of its own. Comments may
//! come first. The text alone decides, with no look at a board.

use memchr::{memchr, memchr2, memrchr};
use shakmaty::san::San;

use super::tags::read_pair;
use super::text::{before_mark, begins_line, is_space, line_end, skip_byte_order_mark};

const MARKERS: [&[u8]; 4] = [b"1-0", b"0-1", b"1/2-1/2", b"*"];

/// Where the movetext `before` a line break that seems to end it goes on in what is `behind` the break.
pub fn resumption(before: &[u8], behind: &[u8]) -> Option<usize> {
    let at = next_word(behind, 0)?;
    (resumes(&behind[at..]) && !has_ended(before)).then_some(at)
}

/// Where the next tag pair is, if only comments and lines of free text come before it. No such line may
/// look like moves or be behind an empty line.
pub fn next_tag(text: &[u8]) -> Option<usize> {
    let (mut at, mut behind_empty) = (0, false);
    loop {
        let word = next_word(text, at)?;
        behind_empty |= holds_empty_line(&text[at..word]);
        if text[word] == b'[' {
            return read_pair(&text[word..]).map(|_| word);
        }
        if behind_empty || begins_moves(&text[word..]) {
            return None;
        }
        at = line_end(text, word);
        if MARKERS.iter().any(|marker| text[word..at].trim_ascii_end().ends_with(marker)) {
            return None;
        }
    }
}

/// The place of a byte order mark with a tag pair behind it in the last line of a movetext that ends with a bracket: another text
/// was put behind this one, which ends without a line break.
pub(super) fn glued_tag(movetext: &[u8]) -> Option<usize> {
    if movetext.trim_ascii_end().last() != Some(&b']') {
        return None;
    }
    let line = memrchr(b'\n', movetext).map_or(0, |place| place + 1);
    let bracket = |&at: &usize| movetext[at] == b'[' && before_mark(movetext, at) < at;
    let at = (line..movetext.len()).find(bracket)?;
    read_pair(&movetext[at..]).map(|_| before_mark(movetext, at))
}

/// The next place behind white space, byte order marks, escape lines and comments; `None` if there is none, or a comment
/// is left open or may hold a tag.
fn next_word(text: &[u8], mut at: usize) -> Option<usize> {
    loop {
        match text.get(at)? {
            byte if is_space(*byte) => at += 1,
            b';' => at = line_end(text, at),
            b'%' if begins_line(text, at) => at = line_end(text, at),
            b'{' => at = end_of_comment(text, at)?,
            _ => match skip_byte_order_mark(text, at) {
                behind if behind > at => at = behind,
                _ => return Some(at),
            },
        }
    }
}

fn end_of_comment(text: &[u8], mut at: usize) -> Option<usize> {
    loop {
        at += memchr2(b'}', b'\n', &text[at..])? + 1;
        if text[at - 1] == b'}' {
            return Some(at);
        }
        if text.get(skip_byte_order_mark(text, at)) == Some(&b'[') {
            return None;
        }
    }
}

/// Whether there is an empty line in what separates words.
fn holds_empty_line(gap: &[u8]) -> bool {
    let (Some(first), Some(last)) = (memchr(b'\n', gap), memrchr(b'\n', gap)) else { return false };
    let mut lines = gap[first..last].split(|&byte| byte == b'\n').skip(1);
    lines.any(|line| line.iter().all(|&byte| is_space(byte)))
}

/// Whether a text begins with what can only be a part of a game.
fn resumes(text: &[u8]) -> bool {
    let bracket = text.first() == Some(&b'(');
    let text = if bracket { text[1..].trim_ascii_start() } else { text };
    if !bracket && let Some(marker) = MARKERS.into_iter().find(|marker| text.starts_with(marker)) {
        return text[marker.len()..line_end(text, 0)].trim_ascii().is_empty();
    }
    let Some((number, dots, behind)) = numbered(text) else { return false };
    let is_first = number == b"1" && dots < 3 && !bracket;
    dots > 0 && number.len() < 4 && number[0] != b'0' && !is_first && is_move(first_word(behind))
}

/// A number, the full stops behind it, and what comes next.
fn numbered(text: &[u8]) -> Option<(&[u8], usize, &[u8])> {
    let digits = text.iter().take_while(|byte| byte.is_ascii_digit()).count();
    let (number, behind) = text.split_at(digits);
    let dots = behind.iter().take_while(|&&byte| byte == b'.').count();
    (digits > 0).then(|| (number, dots, behind[dots..].trim_ascii_start()))
}

/// The letters up to what ends a move.
fn first_word(text: &[u8]) -> &[u8] {
    let ends = |&byte: &u8| is_space(byte) || matches!(byte, b'(' | b')' | b'{' | b';' | b'$');
    let length = text.iter().take(LONGEST_WORD + 1).position(ends);
    &text[..length.unwrap_or(text.len().min(LONGEST_WORD + 1))]
}

/// Whether a line seems to be one of moves.
fn begins_moves(line: &[u8]) -> bool {
    let number = numbered(line);
    let is_word = |text| is_move(first_word(text));
    matches!(line[0], b'(' | b')' | b'$')
        || MARKERS.contains(&first_word(line))
        || number.map_or_else(|| is_word(line), |(_, dots, behind)| dots > 0 || is_word(behind))
}

/// Whether the last word of a movetext is an end marker, comments aside.
fn has_ended(mut movetext: &[u8]) -> bool {
    loop {
        movetext = movetext.trim_ascii_end();
        if MARKERS.iter().any(|marker| movetext.ends_with(marker)) {
            return true;
        }
        let line = memrchr(b'\n', movetext).map_or(0, |place| place + 1);
        let comment = match movetext.last() {
            Some(b'}') => memrchr(b'{', movetext),
            _ => memchr(b';', &movetext[line..]).map(|place| line + place),
        };
        let Some(comment) = comment else { return false };
        movetext = &movetext[..comment];
    }
}

/// A longer word is no move.
pub(super) const LONGEST_WORD: usize = 255;

/// Whether a word of free text is a move.
pub(super) fn is_move(word: &[u8]) -> bool {
    let marks =
        word.iter().rev().take_while(|byte| matches!(byte, b'+' | b'#' | b'!' | b'?')).count();
    // No null move and no drop: a line of dashes is text.
    matches!(San::from_ascii(&word[..word.len() - marks]), Ok(San::Normal { .. } | San::Castle(_)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_cannot_begin_a_game_goes_on_with_the_one_before() {
        for (before, behind, place) in [
            ("1. e4 e5", "\n2. Nf3", 1),
            ("1. e4", "\r\n\n1... e5", 3),
            ("1. e4 e5 2.", " \n\n{so {} \n% x\n; and\n2.Nf3??", 21),
            ("1. e4 e5 (1... c5 1-0", "\n(1. d4)", 1),
            ("1. e4 e5", "\n1-0\n", 1),
            ("1. e4 e5 {1-0}", "\n*", 1),
        ] {
            let ended = before.ends_with("1-0");
            let found = resumption(before.as_bytes(), behind.as_bytes());
            assert_eq!(found, (!ended).then_some(place), "{before} | {behind}");
        }
        for (before, behind) in [
            ("1. e4 e5", "\n1. d4"),
            ("1. e4 e5", "\nNf3"),
            ("1. e4 e5", "\n2. chapter two"),
            ("1. e4 e5", "\n1-0 was what it came to"),
            ("1. e4 e5 1-0", "\n2. Nf3"),
            ("1. e4 e5 * {so} ; it is", "\n2. Nf3"),
            ("1. e4 e5", "\n{open 2. Nf3"),
            ("1. e4 e5", "\n{a\n[Event \"b\"]} 2. Nf3"),
            ("1. e4 e5", "\n[Event \"b\"]"),
            ("1. e4 e5", "\n0. Nf3"),
            ("1. e4 e5", ""),
        ] {
            assert_eq!(resumption(before.as_bytes(), behind.as_bytes()), None, "{behind}");
        }
    }

    #[test]
    fn comments_and_text_before_a_tag_are_passed_over() {
        for text in ["{ a }\n", "; a\n", "{a\n\nb} ", "some words\n", "words\n{a}\nwords\n\n"] {
            let found = next_tag(format!("{text}[A \"x\"]").as_bytes());
            assert_eq!(found, Some(text.len()), "{text:?}");
        }
        for text in ["1. e4 *\n", "e4 e5\n", "words 1-0\n", "*\n", "{ a\n", "words\n\nwords\n", ""]
        {
            assert_eq!(next_tag(format!("{text}[A x]").as_bytes()), None, "{text:?}");
            let tagged = format!("{text}[A \"x\"]");
            assert_eq!(next_tag(tagged.as_bytes()), text.is_empty().then_some(0), "{text:?}");
        }
    }

    #[test]
    fn a_tag_behind_a_byte_order_mark_may_touch_the_movetext() {
        assert_eq!(glued_tag("1. e4\ne5 1-0\u{feff}[Event \"b\"]\r".as_bytes()), Some(12));
        assert_eq!(glued_tag("1. e4 e5 1-0 [Event \"b\"]".as_bytes()), None);
        assert_eq!(glued_tag("1. e4 {\u{feff}[b]}".as_bytes()), None);
    }
}
