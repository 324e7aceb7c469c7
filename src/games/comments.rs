//! Clock readings and evaluations inside comments.
//!
//! The commands are those of the supplement to the PGN standard (2001): `[%clk 1:55:21]`, the time
//! left. `[%eval -6.05]` appears there as an example only; in common practice it is pawns from
//! White's view, or `#-3` for a mate.

use memchr::memchr;

/// What a comment says about the move before it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Remarks {
    /// Time left, in tenths of a second.
    pub clock: Option<u32>,
    /// Evaluation from White's view, in centipawns clamped to +-1000.
    pub eval: Option<i16>,
}

/// The clamp of an evaluation and the value of a mate, in centipawns.
const MATE: i16 = 1000;

impl Remarks {
    /// Takes what `comment` says and was not said before: of each command the first that
    /// can be read.
    pub(super) fn add(&mut self, comment: &[u8]) {
        let mut rest = comment;
        while let Some(place) = memchr(b'[', rest) {
            rest = &rest[place + 1..];
            if let Some(behind) = behind(rest, b"%clk") {
                self.clock = self.clock.or_else(|| clock(operand(behind)?));
            } else if let Some(behind) = behind(rest, b"%eval") {
                self.eval = self.eval.or_else(|| eval(operand(behind)?));
            }
        }
    }
}

/// An operand that is longer is none, so that no comment is looked through again for each
/// command in it.
const LONGEST_OPERAND: usize = 64;

/// What stands behind a command and white space, which may be the end of a line.
fn behind<'t>(text: &'t [u8], command: &[u8]) -> Option<&'t [u8]> {
    text.strip_prefix(command).filter(|behind| behind.first().is_some_and(u8::is_ascii_whitespace))
}

/// The first operand of a command, up to `,` or `]`.
fn operand(text: &[u8]) -> Option<&[u8]> {
    let length =
        text.iter().take(LONGEST_OPERAND + 1).position(|byte| matches!(byte, b',' | b']'))?;
    Some(text[..length].trim_ascii())
}

/// `h:mm:ss`, with a fraction cut to tenths.
fn clock(text: &[u8]) -> Option<u32> {
    let colon = text.iter().position(|&byte| byte == b':')?;
    let hours = number(&text[..colon])?;
    let (minutes, rest) = sixtieths(&text[colon..])?;
    let (seconds, rest) = sixtieths(rest)?;
    let tenth = match rest {
        [] => 0,
        [b'.', decimals @ ..] => fraction(decimals)? / 10,
        _ => return None,
    };
    hours.checked_mul(36_000)?.checked_add((minutes * 60 + seconds) * 10 + tenth)
}

/// `:00` to `:59`, and what is behind.
fn sixtieths(text: &[u8]) -> Option<(u32, &[u8])> {
    match text {
        [b':', tens @ b'0'..=b'5', ones @ b'0'..=b'9', rest @ ..] => {
            Some((u32::from(tens - b'0') * 10 + u32::from(ones - b'0'), rest))
        }
        _ => None,
    }
}

fn number(digits: &[u8]) -> Option<u32> {
    if digits.is_empty() || digits.len() > 7 {
        return None;
    }
    digits
        .iter()
        .try_fold(0, |sum, byte| byte.is_ascii_digit().then(|| sum * 10 + u32::from(byte - b'0')))
}

/// The first two digits behind a point; `None` if there is anything but digits.
fn fraction(digits: &[u8]) -> Option<u32> {
    let digit = |at: usize| digits.get(at).map_or(0, |byte| u32::from(byte - b'0'));
    digits.iter().all(u8::is_ascii_digit).then(|| digit(0) * 10 + digit(1))
}

/// Pawns as a decimal, rounded half away from zero to centipawns, or `#n`.
pub(super) fn eval(text: &[u8]) -> Option<i16> {
    let (negative, rest) = sign(text.strip_prefix(b"#").unwrap_or(text));
    if text.first() == Some(&b'#') {
        number(rest)?;
        return Some(if negative { -MATE } else { MATE });
    }
    let point = rest.iter().position(|&byte| byte == b'.');
    let (whole, decimals) = match point {
        Some(point) => (&rest[..point], &rest[point + 1..]),
        None => (rest, &[][..]),
    };
    let pawns = number(whole)?;
    let round_up = decimals.get(2).is_some_and(|&digit| digit >= b'5');
    let centipawns = pawns.saturating_mul(100) + fraction(decimals)? + u32::from(round_up);
    let clamped = centipawns.min(MATE as u32) as i16;
    Some(if negative { -clamped } else { clamped })
}

fn sign(text: &[u8]) -> (bool, &[u8]) {
    match text.first() {
        Some(b'-') => (true, &text[1..]),
        Some(b'+') => (false, &text[1..]),
        _ => (false, text),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn remarks(comment: &str) -> (Option<u32>, Option<i16>) {
        let mut remarks = Remarks::default();
        remarks.add(comment.as_bytes());
        (remarks.clock, remarks.eval)
    }

    /// PGN supplement of 2001, sections 3.2.6 and 4.2.
    #[test]
    fn commands_are_read_as_the_supplement_writes_them() {
        assert_eq!(remarks(" [%clk 1:55:21] "), (Some(69_210), None));
        assert_eq!(remarks("[%clk 0:00:07][%eval -6.05]"), (Some(70), Some(-605)));
        assert_eq!(remarks("text [%eval 0.17,20] [%clk 0:05:00.37]"), (Some(3003), Some(17)));
        assert_eq!(remarks("[%eval\n0.17]\n[%clk\r\n0:00:07]"), (Some(70), Some(17)));
    }

    #[test]
    fn evaluations_are_clamped_and_rounded_away_from_zero() {
        let eval = |text: &str| remarks(&format!("[%eval {text}]")).1;
        assert_eq!((eval("#3"), eval("#-12"), eval("25.5")), (Some(1000), Some(-1000), Some(1000)));
        assert_eq!(
            (eval("0.125"), eval("-0.125"), eval("+1.005"), eval("2")),
            (Some(13), Some(-13), Some(101), Some(200))
        );
    }

    #[test]
    fn what_cannot_be_read_is_no_reading() {
        for comment in [
            "[%clk 5:00]",
            "[%clk 0:05:0x]",
            "[%clk ]",
            "[%clk 0:75:00]",
            "[%clk 0:5:00]",
            "[%clk 0:05:00",
            "[%clk -0:05:00]",
        ] {
            assert_eq!(remarks(comment).0, None, "{comment}");
        }
        for comment in
            ["[%eval ]", "[%eval -]", "[%eval #]", "[%eval 1.x]", "[%eval .5]", "[%eval x]"]
        {
            assert_eq!(remarks(comment).1, None, "{comment}");
        }
    }

    #[test]
    fn a_command_that_cannot_be_read_gives_way_to_the_next() {
        assert_eq!(remarks("[%clk 0:99:00] [%clk 0:04:55] [%clk 0:04:00]").0, Some(2950));
        assert_eq!(remarks("[%eval abc][%eval +0.07]").1, Some(7));
    }

    #[test]
    fn the_first_reading_counts() {
        let mut remarks = Remarks::default();
        remarks.add(b"[%clk 0:00:02]");
        remarks.add(b"[%clk 0:00:01] [%eval 1]");
        assert_eq!((remarks.clock, remarks.eval), (Some(20), Some(100)));
    }
}
