//! Our reader of games against pgn-reader, on the same movetexts, whole and damaged.
//!
//! The rule is beside the comparison, which the fuzz targets share: `tests/fuzz/checks/reader`.

use std::fs::File;
use std::io::Read;
use std::path::Path;

use deadfall::plies::Replayer;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

use crate::fuzzed::checks::reader::{compare, is_comparable};
use crate::kit::{golden, random_games, real_dump};

/// The movetexts of a well-formed dump: what comes after each tag section.
fn movetexts(dump: &[u8]) -> Vec<Vec<u8>> {
    let text = String::from_utf8_lossy(dump).replace("\r\n", "\n");
    let is_movetext = |part: &&str| !part.starts_with('[') && !part.trim().is_empty();
    text.split("\n\n")
        .filter(is_movetext)
        .map(|part| format!("{}\n\n", part.trim()).into())
        .collect()
}

fn sample() -> Vec<Vec<u8>> {
    let random = random_games(7, 150, 60).concat();
    let played = real_dump().map_or_else(Vec::new, |dump| movetexts(&dump));
    [movetexts(random.as_bytes()), played, invented()].concat()
}

/// The first games of the sample dump, less those that do not begin at the start position.
fn invented() -> Vec<Vec<u8>> {
    let path =
        Path::new(env!("CARGO_MANIFEST_DIR")).join("data-samples/harbour-league-2031-05.pgn.zst");
    let file = File::open(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    let mut text = Vec::new();
    let decoder = zstd::Decoder::new(file).expect("it is zstd");
    decoder.take(600_000).read_to_end(&mut text).expect("it can be read");
    let end = deadfall::games::last_cut(&text).expect("it holds several games");
    let text = String::from_utf8_lossy(&text[..end]);
    let standard = text.split("\n\n[Event ").filter(|game| !game.contains("[FEN "));
    movetexts(standard.collect::<Vec<_>>().join("\n\n[Event ").as_bytes())
}

/// The same text with some bytes exchanged, or cut off. The first byte stays: a movetext that
/// begins with a bracket would be tags.
fn damaged(text: &[u8], chance: &mut impl rand::Rng) -> Vec<u8> {
    const LIKELY: &[u8] = b"{}()[]<>;%*\"\n\r.!? +#=-xO0128abehNBRQK/_";
    let mut text = text.to_vec();
    // Most of the text lies after the counted moves; damage in front matters most.
    let reach = if chance.random_bool(0.7) { text.len().min(400) } else { text.len() };
    for _ in 0..chance.random_range(1..4) {
        let at = chance.random_range(1..reach.max(2)).min(text.len() - 1);
        let byte = match chance.random_range(0..3) {
            0 => chance.random_range(32..=255),
            _ => LIKELY[chance.random_range(0..LIKELY.len())],
        };
        match chance.random_range(0..4) {
            _ if byte == b'$' => {}
            0 => text.insert(at, byte),
            1 if text.len() > 2 => drop(text.remove(at)),
            _ => text[at] = byte,
        }
    }
    let is_check = |byte: &u8| matches!(byte, b'+' | b'#');
    text.dedup_by(|next, byte| is_check(next) && is_check(byte));
    if chance.random_bool(0.2) {
        text.truncate(chance.random_range(1..=text.len()));
    }
    text
}

#[test]
fn whole_movetexts_are_read_alike() {
    let mut replayer = Replayer::new();
    let texts = sample();
    assert!(texts.iter().all(|text| compare(&mut replayer, text)), "all are legal");
}

#[test]
fn hand_made_movetexts_are_read_alike() {
    let mut replayer = Replayer::new();
    let texts = movetexts(&golden("edge-games.pgn"));
    let whole = texts
        .iter()
        .filter(|text| text[0].is_ascii_alphanumeric() && !text.contains(&b'$'))
        .filter(|text| compare(&mut replayer, text))
        .count();
    assert!(whole > 80, "{whole}");
}

#[test]
fn damaged_movetexts_are_read_alike() {
    let (mut replayer, mut chance) = (Replayer::new(), ChaCha8Rng::seed_from_u64(11));
    let (mut whole, mut ended) = (0, 0);
    for text in sample().iter().filter(|text| text.len() > 10) {
        let texts = (0..12).map(|_| damaged(text, &mut chance));
        for damaged in texts.filter(|text| is_comparable(text)) {
            match compare(&mut replayer, &damaged) {
                true => whole += 1,
                false => ended += 1,
            }
        }
    }
    assert!(whole > 500 && ended > 500, "the damage is too light or too heavy: {whole}, {ended}");
}
