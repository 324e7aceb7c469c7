//! What may stand between the tags of one game, and where another text was put behind a movetext.

use memchr::{memchr, memchr2, memrchr};
use shakmaty::san::San;

use super::tags::read_pair;
use super::text::{before_mark, begins_line, is_space, line_end, skip_byte_order_mark};

const MARKERS: [&[u8]; 4] = [b"1-0", b"0-1", b"1/2-1/2", b"*"];

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
