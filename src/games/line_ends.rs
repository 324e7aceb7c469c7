//! Line ends: a line feed, carriage returns before it or not, or a carriage return by itself; and
//! the places where another text was put behind one.

use memchr::memchr2;

/// The byte order mark in UTF-8.
pub const BYTE_ORDER_MARK: [u8; 3] = *b"\xef\xbb\xbf";

/// Makes every carriage return that is a line end by itself a line feed, in place, so that a reader
/// that reads the text looks for line feeds only. Those before a line feed belong to it and stay. A
/// byte order mark becomes white space as [`settled_mark`] has it.
///
/// Returns how many bytes at the end of `text` were left alone, since what comes after decides what
/// they are: carriage returns, or the beginning of a byte order mark. At the end of all text they
/// are line ends.
pub fn settle_line_ends(text: &mut [u8]) -> usize {
    let mut at = 0;
    while let Some(offset) = memchr2(b'\r', BYTE_ORDER_MARK[0], &text[at..]) {
        let start = at + offset;
        let rest = &text[start..];
        let is_return = rest[0] == b'\r';
        let length = match is_return {
            true => rest.iter().take_while(|&&byte| byte == b'\r').count(),
            false => rest.iter().zip(BYTE_ORDER_MARK).take_while(|(a, b)| *a == b).count(),
        };
        at = start + length;
        let Some(&behind) = text.get(at) else { return length };
        match (is_return, behind) {
            (true, b'\n') => {}
            (true, _) => text[start..at].fill(b'\n'),
            (false, _) if length < BYTE_ORDER_MARK.len() => {}
            (false, _) => text[start..at].fill(settled_mark(behind)),
        }
    }
    0
}

/// What each byte of a byte order mark becomes before another byte: where a tag or an escape
/// line comes next, a text begins that was put behind another, and it becomes a line feed;
/// elsewhere a blank.
pub fn settled_mark(behind: u8) -> u8 {
    if matches!(behind, b'[' | b'%') { b'\n' } else { b' ' }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bare_carriage_return_ends_a_line_and_others_belong_to_their_line_feed() {
        let settled = |text: &str| {
            let mut text = text.as_bytes().to_vec();
            let open = settle_line_ends(&mut text);
            (String::from_utf8(text).expect("it was text"), open)
        };
        assert_eq!(
            settled("a\rb\r\rc\nd\r\ne\r\r\r\n\rf"),
            ("a\nb\n\nc\nd\r\ne\r\r\r\n\nf".into(), 0)
        );
        assert_eq!(settled("a\rb\r\r"), ("a\nb\r\r".into(), 2));
        assert_eq!(settled("\r"), ("\r".into(), 1));
        assert_eq!(settled("none"), ("none".into(), 0));
    }

    #[test]
    fn a_byte_order_mark_begins_a_text_or_is_blank() {
        let settled = |text: &[u8]| {
            let mut text = text.to_vec();
            let open = settle_line_ends(&mut text);
            (String::from_utf8_lossy(&text).into_owned(), open)
        };
        let text = "\u{feff}[A] 1-0\u{feff}\u{feff}% a\r\u{feff}e4";
        assert_eq!(settled(text.as_bytes()), ("\n\n\n[A] 1-0   \n\n\n% a\n   e4".into(), 0));
        assert_eq!(settled(b"\xef\xbb[\xef["), ("\u{fffd}[\u{fffd}[".into(), 0));
        for open in 1..=3 {
            assert_eq!(settled(&[b"a", &BYTE_ORDER_MARK[..open]].concat()).1, open);
        }
    }
}
