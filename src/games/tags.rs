//! The tag pairs of a game.

use std::borrow::Cow;

use memchr::{memchr, memchr3};
use wide::u8x32;

use super::letters::text_of;
use super::text::{is_space, line_end};

macro_rules! tags {
    ($($field:ident = $name:literal),* $(,)?) => {
        /// The tag values that decide whether and how a game counts, as they stand between the
        /// quotes; `None` where the game has no such tag. Of two tags of one name the last holds.
        #[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
        #[allow(missing_docs)]
        pub struct Tags<'a> {
            $(pub $field: Option<&'a [u8]>,)*
        }

        impl<'a> Tags<'a> {
            /// Takes one tag pair.
            pub(super) fn set(&mut self, name: &[u8], value: &'a [u8]) {
                match name {
                    $($name => self.$field = Some(value),)*
                    _ => {}
                }
            }
        }
    };
}

tags! {
    event = b"Event",
    site = b"Site",
    white = b"White",
    black = b"Black",
    result = b"Result",
    date = b"Date",
    utc_date = b"UTCDate",
    white_elo = b"WhiteElo",
    black_elo = b"BlackElo",
    white_title = b"WhiteTitle",
    black_title = b"BlackTitle",
    time_control = b"TimeControl",
    termination = b"Termination",
    variant = b"Variant",
    set_up = b"SetUp",
    fen = b"FEN",
    eco = b"ECO",
    opening = b"Opening",
}

/// Skips white space and escape lines; the place behind and how many line breaks were passed.
fn skip_gap(text: &[u8], mut at: usize) -> (usize, usize) {
    let mut breaks = 0;
    while let Some(&byte) = text.get(at) {
        match byte {
            b'\n' => breaks += 1,
            b'%' if at == 0 || text[at - 1] == b'\n' => {
                at = line_end(text, at);
                continue;
            }
            _ if is_space(byte) => {}
            _ => break,
        }
        at += 1;
    }
    (at, breaks)
}

/// Reads the tag pair at the start of `text`, which begins with `[`: its name, its value and its
/// length; `None` if it is no tag pair.
#[inline]
pub(super) fn read_pair(text: &[u8]) -> Option<(&[u8], &[u8], usize)> {
    plain_pair(text).or_else(|| pair_of_any_form(text))
}

/// A pair as dumps write it (`[Name "value"]`), if it is short; for speed only.
#[inline]
fn plain_pair(text: &[u8]) -> Option<(&[u8], &[u8], usize)> {
    let letters = u8x32::new(*text.first_chunk()?);
    let is = |byte| letters.simd_eq(u8x32::splat(byte));
    let quotes = is(b'"').to_bitmask();
    let others = (is(b'\\') | is(b'\n') | is(b']')).to_bitmask();
    let (open, behind) = (quotes.trailing_zeros() as usize, quotes & quotes.wrapping_sub(1));
    let close = behind.trailing_zeros() as usize;
    // The first of the others has to be the bracket behind the value.
    if close > 30 || others.trailing_zeros() as usize != close + 1 || text[close + 1] != b']' {
        return None;
    }
    let name = text[1..open].strip_suffix(b" ")?;
    let is_trimmed = name.first()?.is_ascii_graphic() && name.last()?.is_ascii_graphic();
    is_trimmed.then(|| (name, &text[open + 1..close], close + 2))
}

fn pair_of_any_form(text: &[u8]) -> Option<(&[u8], &[u8], usize)> {
    let quote = find_quote(text, 1)?;
    let name = text[1..quote].trim_ascii();
    let value_start = quote + 1;
    let mut end = value_start;
    loop {
        end += memchr3(b'"', b'\\', b'\n', &text[end..])?;
        match text[end] {
            b'"' => break,
            b'\n' => return None,
            _ => {
                end += 1;
                end += usize::from(text.get(end).is_some_and(|&byte| byte != b'\n'));
            }
        }
    }
    let value = &text[value_start..end];
    if text.get(end + 1) == Some(&b']') {
        return Some((name, value, end + 2));
    }
    match skip_gap(text, end + 1) {
        (next, _) if text.get(next) == Some(&b']') => Some((name, value, next + 1)),
        // Only the bracket is missing.
        (next, breaks) if breaks > 0 || next == text.len() => Some((name, value, end + 1)),
        _ => None,
    }
}

/// The quote that opens the value of the pair at `at`, perhaps on the next line.
fn find_quote(text: &[u8], at: usize) -> Option<usize> {
    let place = at + memchr3(b'"', b'\n', b']', &text[at..])?;
    match text[place] {
        b'"' => Some(place),
        b'\n' => Some(skip_gap(text, place).0).filter(|&next| text.get(next) == Some(&b'"')),
        _ => None,
    }
}

/// A tag value as text: escapes undone, trimmed.
pub(super) fn value_text(value: &[u8]) -> Cow<'_, str> {
    match plain_value(value) {
        Cow::Borrowed(value) => text_of(value),
        Cow::Owned(value) => Cow::Owned(text_of(&value).into_owned()),
    }
}

/// A tag value trimmed and with its escapes (`\"`, `\\`) undone.
pub(super) fn plain_value(value: &[u8]) -> Cow<'_, [u8]> {
    let value = value.trim_ascii();
    if memchr(b'\\', value).is_none() {
        return Cow::Borrowed(value);
    }
    let mut plain = Vec::with_capacity(value.len());
    let mut rest = value;
    while let Some(place) = memchr(b'\\', rest) {
        plain.extend_from_slice(&rest[..place]);
        let escaped = rest.get(place + 1);
        if !matches!(escaped, Some(b'"' | b'\\')) {
            plain.push(b'\\');
        }
        plain.extend(escaped);
        rest = rest.get(place + 2..).unwrap_or_default();
    }
    plain.extend_from_slice(rest);
    Cow::Owned(plain)
}

#[cfg(test)]
#[path = "tags_tests.rs"]
mod tests;
