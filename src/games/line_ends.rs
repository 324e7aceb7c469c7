//! Line ends: a line feed, carriage returns before it or not, or a carriage return by itself.

use memchr::memchr;

/// Makes every carriage return that is a line end by itself a line feed, in place, so that a reader that
/// reads the text looks for line feeds only. Those before a line feed belong to it and stay.
///
/// Returns how many carriage returns stand at the end of `text`: what comes after decides what they
/// are, and they are left alone.
pub fn settle_line_ends(text: &mut [u8]) -> usize {
    let mut at = 0;
    while let Some(offset) = memchr(b'\r', &text[at..]) {
        let start = at + offset;
        let length = text[start..].iter().take_while(|&&byte| byte == b'\r').count();
        at = start + length;
        match text.get(at) {
            None => return length,
            Some(b'\n') => {}
            Some(_) => text[start..at].fill(b'\n'),
        }
    }
    0
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
}
