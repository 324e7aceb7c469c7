//! What most dumps write between two moves and for a move, read several letters at a time, for
//! speed only: whatever looks otherwise is left to [`Movetext`](super::Movetext) and [`Remarks`].

use wide::u8x16;

use super::comments::{Remarks, eval};

/// The length of a word of letters, digits and the marks of SAN that begins with a letter and ends
/// before a space.
#[inline]
pub(super) fn plain_word(text: &[u8]) -> Option<usize> {
    let bytes = u8x16::new(*text.first_chunk()?);
    let up_to = |bytes: u8x16, most| bytes.simd_eq(bytes.min(u8x16::splat(most)));
    let is = |byte| bytes.simd_eq(u8x16::splat(byte));
    let letters = up_to((bytes | u8x16::splat(0x20)) - u8x16::splat(b'a'), 25);
    let digits = up_to(bytes - u8x16::splat(b'0'), 9);
    let word = letters | digits | is(b'+') | is(b'-') | is(b'=') | is(b'#');
    let length = (!word.to_bitmask()).trailing_zeros() as usize;
    let ends = text.get(length) == Some(&b' ') && text[0].is_ascii_alphabetic();
    ends.then_some(length)
}

/// What stands between two moves on one line as dumps write it, and its length: perhaps a
/// comment, and a gap.
#[inline]
pub(super) fn plain_remarks(text: &[u8]) -> Option<(Remarks, usize)> {
    let (remarks, length) = plain_comment(text).unwrap_or_default();
    Some((remarks, length + plain_gap(text.get(length..)?)?))
}

/// The length of what stands between two moves on one line as dumps write it, a space and perhaps a
/// move number (` 12... e5`).
#[inline]
fn plain_gap(text: &[u8]) -> Option<usize> {
    let (b" ", behind) = text.split_first_chunk()? else { return None };
    let bytes = u64::from_le_bytes(*behind.first_chunk()?);
    // Of what may stand here, letters alone get the highest bit.
    let letters = bytes.wrapping_add(u64::from_le_bytes([128 - b'A'; 8])) & HIGHEST;
    let length = letters.trailing_zeros() / u8::BITS;
    let Gap { form, room, mask } = GAPS.get(length as usize)?;
    let other = bytes ^ form;
    if (other | other.wrapping_add(*room)) & mask > 0 {
        return None;
    }
    let letter = (bytes >> (length * u8::BITS)) as u8;
    matches!(letter, b'a'..=b'h' | b'K' | b'Q' | b'R' | b'B' | b'N' | b'O')
        .then_some(1 + length as usize)
}

/// The highest bit of each byte.
const HIGHEST: u64 = u64::from_le_bytes([128; 8]);

/// A gap of a certain length: what it looks like, and what takes a byte that is not
/// alike beyond 127.
struct Gap {
    form: u64,
    room: u64,
    mask: u64,
}

/// By their lengths; what no gap looks like is not ASCII.
const GAPS: [Gap; 8] = {
    let none = b"\x80\x80";
    [
        Gap::like(b""),
        Gap::like(none),
        Gap::like(none),
        Gap::like(b"0. "),
        Gap::like(b"00. "),
        Gap::like(b"0... "),
        Gap::like(b"00... "),
        Gap::like(b"000... "),
    ]
};

impl Gap {
    const fn like(text: &[u8]) -> Gap {
        let (mut form, mut room, mut mask, mut place) = ([0; 8], [0; 8], [0; 8], 0);
        while place < text.len() {
            form[place] = text[place];
            // The digits are 0 to 9 away from the first.
            room[place] = if text[place] == b'0' { 127 - 9 } else { 127 };
            mask[place] = 128;
            place += 1;
        }
        let [form, room, mask] =
            [u64::from_le_bytes(form), u64::from_le_bytes(room), u64::from_le_bytes(mask)];
        Gap { form, room, mask }
    }
}

/// What the comment at the start of `text` says if it holds nothing but a clock reading, perhaps
/// behind an evaluation, and is written as dumps write it (` { [%eval 0.17] [%clk 0:03:00] }`),
/// with the length of it all.
#[inline]
fn plain_comment(text: &[u8]) -> Option<(Remarks, usize)> {
    const CLOCK: &[u8; 8] = b" { [%clk";
    let start = text.first_chunk()?;
    let (eval, behind) = match start == CLOCK {
        true => (None, CLOCK.len()),
        false => plain_eval(text)?,
    };
    let (reading, rest) = text.get(behind..)?.split_first_chunk()?;
    let clock = Some(plain_reading(*reading)?);
    let behind = behind + reading.len() + b"] }".len();
    rest.starts_with(b"] }").then_some((Remarks { clock, eval }, behind))
}

/// The evaluation of such a comment, and the place behind the command that follows it.
fn plain_eval(text: &[u8]) -> Option<(Option<i16>, usize)> {
    const START: &[u8; 10] = b" { [%eval ";
    const NEXT: &[u8; 7] = b"] [%clk";
    let rest = text.strip_prefix(START)?;
    let length = rest.first_chunk::<8>()?.iter().position(|&byte| byte == b']')?;
    let eval = eval(&rest[..length])?;
    rest[length..].starts_with(NEXT).then_some((Some(eval), START.len() + length + NEXT.len()))
}

/// The clock reading ` 0:03:00`. All letters at a time: zero where punctuation is as it should be,
/// and the values of the digits.
#[inline]
fn plain_reading(reading: [u8; 8]) -> Option<u32> {
    let letters = u64::from_be_bytes(reading) ^ u64::from_be_bytes(*b" 0:00:00");
    // What takes a letter that is too large beyond 127.
    const ROOM: u64 = u64::from_be_bytes([127, 118, 127, 122, 118, 127, 122, 118]);
    const TOO_LARGE: u64 = 0x8080_8080_8080_8080;
    if (letters | letters.wrapping_add(ROOM)) & TOO_LARGE > 0 {
        return None;
    }
    let digit = |place: u32| (letters >> (8 * place)) as u32 & 15;
    let minutes = digit(6) * 60 + digit(4) * 10 + digit(3);
    Some((minutes * 60 + digit(1) * 10 + digit(0)) * 10)
}
