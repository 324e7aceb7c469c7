//! Text of others that cannot steer a terminal.
//!
//! Names of files, tags and words of games come from anywhere. An escape sequence in them could
//! recolour the screen, move the cursor or worse, a mark that turns the direction of writing could
//! make a line read as another one. So what is written for people passes through here,
//! at the border.

use std::io::{self, Write};

/// Whether a letter turns the direction of writing beyond itself (Unicode Standard Annex 9,
/// explicit and implicit directional marks).
pub(super) fn turns_direction(letter: char) -> bool {
    matches!(letter, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

/// Whether a letter does something to a line instead of standing in it: control characters, line
/// and paragraph separators, marks of direction.
pub(super) fn steers(letter: char) -> bool {
    letter.is_control() || matches!(letter, '\u{2028}' | '\u{2029}') || turns_direction(letter)
}

/// A text of one line as a terminal may have it.
pub fn one_line(text: &str) -> String {
    text.chars().map(|letter| if steers(letter) { REPLACEMENT } else { letter }).collect()
}

/// What is in the place of a letter that steers.
const REPLACEMENT: char = '\u{fffd}';

/// What becomes of letters that steer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum How {
    /// Another letter is in their place.
    Replaced,
    /// They are written as in a string of JSON.
    Escaped,
    /// They are left alone.
    Kept,
}

/// A writer through which line ends and tabs pass, and of other letters those that do not steer.
#[derive(Debug)]
pub struct Safe<W> {
    out: W,
    how: How,
    /// The start of a letter whose other bytes are still to come.
    begun: Vec<u8>,
}

impl<W: Write> Safe<W> {
    /// Puts another letter in the place of those that steer.
    pub fn new(out: W) -> Safe<W> {
        Safe { out, how: How::Replaced, begun: Vec::new() }
    }

    /// Writes them as `\u009b`, for JSON in which they stand within strings only.
    pub(super) fn json(out: W) -> Safe<W> {
        Safe { out, how: How::Escaped, begun: Vec::new() }
    }

    /// Leaves everything as it is from here on, for data that no terminal sees.
    pub fn keep(&mut self) {
        self.how = How::Kept;
    }

    /// What was written to.
    pub fn into_inner(self) -> W {
        self.out
    }

    fn letters(&self, text: &str, safe: &mut Vec<u8>) {
        for letter in text.chars() {
            match letter {
                _ if !steers(letter) || matches!(letter, '\n' | '\t') => {
                    safe.extend_from_slice(letter.encode_utf8(&mut [0; 4]).as_bytes());
                }
                _ if self.how == How::Escaped => {
                    safe.extend_from_slice(format!("\\u{:04x}", u32::from(letter)).as_bytes());
                }
                _ => safe.extend_from_slice(REPLACEMENT.encode_utf8(&mut [0; 4]).as_bytes()),
            }
        }
    }

    /// The bytes as they may be written; of a letter that is not whole yet they are put aside.
    fn made_safe(&mut self, mut bytes: &[u8]) -> Vec<u8> {
        let mut safe = Vec::with_capacity(bytes.len());
        loop {
            let error = match std::str::from_utf8(bytes) {
                Ok(text) => {
                    self.letters(text, &mut safe);
                    return safe;
                }
                Err(error) => error,
            };
            let (text, rest) = bytes.split_at(error.valid_up_to());
            self.letters(std::str::from_utf8(text).expect("it was just looked at"), &mut safe);
            let Some(length) = error.error_len() else {
                self.begun = rest.to_vec();
                return safe;
            };
            // Bytes that are no letter; some terminals take these for control characters.
            let is_control = |byte: &u8| matches!(byte, 0x80..=0x9f);
            safe.extend(
                rest[..length].iter().map(|byte| if is_control(byte) { b'?' } else { *byte }),
            );
            bytes = &rest[length..];
        }
    }
}

impl<W: Write> Write for Safe<W> {
    fn write(&mut self, buffer: &[u8]) -> io::Result<usize> {
        let is_plain = |byte: &u8| matches!(byte, b'\n' | b'\t' | b' '..=b'~');
        if self.how == How::Kept || self.begun.is_empty() && buffer.iter().all(is_plain) {
            return self.out.write(buffer);
        }
        let mut bytes = std::mem::take(&mut self.begun);
        bytes.extend_from_slice(buffer);
        let safe = self.made_safe(&bytes);
        self.out.write_all(&safe)?;
        Ok(buffer.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        self.out.flush()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What is written, in pieces of so many bytes.
    fn written(mut out: Safe<Vec<u8>>, text: &[u8], size: usize) -> Vec<u8> {
        text.chunks(size).for_each(|piece| out.write_all(piece).expect("memory"));
        out.out
    }

    #[test]
    fn what_steers_is_replaced_however_it_is_cut() {
        let evil = "a\x1b[31m\u{9b}b\tö\r\n\u{202e}\u{2066}\u{200f}\u{61c}\u{2028}\x7f漢\u{5d0}\n"
            .as_bytes();
        let wanted = "a\u{fffd}[31m\u{fffd}b\tö\u{fffd}\n\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}\u{fffd}漢\u{5d0}\n";
        for size in 1..evil.len() {
            let safe = written(Safe::new(Vec::new()), evil, size);
            assert_eq!(String::from_utf8(safe).as_deref(), Ok(wanted), "pieces of {size}");
        }
        assert_eq!(
            written(Safe::new(Vec::new()), b"J\xf6rg \x9b31m \xff", 1),
            b"J\xf6rg ?31m \xff"
        );
    }

    #[test]
    fn json_keeps_its_meaning_and_data_are_kept() {
        let value = "a\x1b\u{9b}\u{202e}\x7f\u{2028}ö\"";
        let json = serde_json::to_string(value).expect("a text");
        for size in 1..json.len() {
            let safe = String::from_utf8(written(Safe::json(Vec::new()), json.as_bytes(), size))
                .expect("text");
            assert!(!safe.chars().any(steers), "{safe}");
            assert_eq!(serde_json::from_str::<String>(&safe).expect("JSON"), value);
        }
        let mut out = Safe::new(Vec::new());
        out.keep();
        assert_eq!(written(out, value.as_bytes(), 3), value.as_bytes());
    }
}
