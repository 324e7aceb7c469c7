//! By what a game's text is known.

use memchr::memchr;
use xxhash_rust::xxh3::{Xxh3, xxh3_128};

/// The hash of a game's text (XXH3, 128 bits, seed 0), carriage returns before a line
/// feed left out.
///
/// The sum of the hashes of all its games, modulo 2^128, is what a dump is known by: it depends on
/// neither their order nor what stands between them.
pub fn hash_game(text: &[u8]) -> u128 {
    if memchr(b'\r', text).is_none() {
        return xxh3_128(text);
    }
    let mut hasher = Xxh3::new();
    let mut rest = text;
    while let Some(start) = memchr(b'\r', rest) {
        let length = rest[start..].iter().take_while(|&&byte| byte == b'\r').count();
        let behind = start + length;
        let kept = if rest.get(behind) == Some(&b'\n') { start } else { behind };
        hasher.update(&rest[..kept]);
        rest = &rest[behind..];
    }
    hasher.update(rest);
    hasher.digest128()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn carriage_returns_before_a_line_feed_do_not_matter() {
        let wanted = hash_game(b"[Event \"a\"]\n\n1. e4 *");
        assert_eq!(hash_game(b"[Event \"a\"]\r\n\r\n1. e4 *"), wanted);
        assert_eq!(hash_game(b"[Event \"a\"]\r\r\r\n\n1. e4 *"), wanted);
        assert_ne!(hash_game(b"[Event \"a\"]\n1. e4 *"), wanted);
        assert_ne!(hash_game(b"[Event \"a\"]\n\r1. e4 *"), wanted);
    }
}
