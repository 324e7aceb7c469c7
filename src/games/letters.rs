//! Bytes as text, the same for dumps and for what a teacher writes.

use std::borrow::Cow;

use super::line_ends::{BYTE_ORDER_MARK, settled_mark};

/// The letters of the bytes 0x80 to 0x9f in Windows-1252; its five free places stay what they are
/// in ISO 8859-1.
const BEYOND_LATIN_1: &str = "€\u{81}‚ƒ„…†‡ˆ‰Š‹Œ\u{8d}Ž\u{8f}\u{90}‘’“”•–—˜™š›œ\u{9d}žŸ";

/// Bytes as text: UTF-8, or else Windows-1252, in which every byte is a letter and which has all of
/// ISO 8859-1, the encoding of the PGN standard (section 4.1), that is no control character.
pub fn text_of(bytes: &[u8]) -> Cow<'_, str> {
    let letter = |&byte: &u8| match byte {
        0x80..=0x9f => BEYOND_LATIN_1.chars().nth(usize::from(byte - 0x80)),
        _ => Some(char::from(byte)),
    };
    match std::str::from_utf8(bytes) {
        Ok(text) => Cow::Borrowed(text),
        Err(_) => Cow::Owned(bytes.iter().filter_map(letter).collect()),
    }
}

/// The text of a file that a person wrote, as [`text_of`] has it and without byte order marks:
/// behind one a text begins that was put behind another, and its first tag or escape line
/// begins a line.
pub fn written_text(bytes: &[u8]) -> String {
    let text = text_of(bytes);
    let mut whole = String::with_capacity(text.len());
    let mark = std::str::from_utf8(&BYTE_ORDER_MARK).expect("it is a letter");
    for part in text.split(mark) {
        let begins_line = part.bytes().next().is_some_and(|byte| settled_mark(byte) == b'\n');
        if begins_line && !matches!(whole.bytes().last(), None | Some(b'\n' | b'\r')) {
            whole.push('\n');
        }
        whole += part;
    }
    whole
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_no_utf_8_is_windows_1252() {
        assert_eq!(text_of("F\u{e4}lle".as_bytes()), "F\u{e4}lle");
        assert_eq!(text_of(b"F\xe4lle \x80\x9e\x9f\x81\xff"), "F\u{e4}lle €žŸ\u{81}\u{ff}");
        assert_eq!(BEYOND_LATIN_1.chars().count(), 32);
    }

    #[test]
    fn a_text_put_behind_another_begins_a_line() {
        let written = |text: &str| written_text(text.as_bytes());
        assert_eq!(written("\u{feff}[A] 1-0\u{feff}[B]\n\u{feff}[C]"), "[A] 1-0\n[B]\n[C]");
        assert_eq!(written("# a\u{feff}b\u{feff}\u{feff}"), "# ab");
        assert_eq!(written("1. e4 *\u{feff}% a remark\n[B]"), "1. e4 *\n% a remark\n[B]");
    }
}
