//! Inputs that the fuzz targets (`tests/fuzz`) once failed on, tried again; the golden games; and
//! texts drawn at random from the targets' seeds.

use std::fs;
use std::path::Path;

use rand::rngs::StdRng;
use rand::seq::IndexedRandom;
use rand::{RngExt, SeedableRng};

use crate::kit::{golden, pieces};

#[path = "../fuzz/checks/mod.rs"]
pub mod checks;

/// What was found with a target, by name; its folder is missing as long as nothing was.
fn found(target: &str) -> Vec<(String, Vec<u8>)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fuzz/found").join(target);
    let Ok(entries) = fs::read_dir(folder) else { return Vec::new() };
    let paths = entries.map(|entry| entry.expect("the folder can be listed").path());
    paths
        .map(|path| (path.display().to_string(), fs::read(path).expect("it can be read")))
        .collect()
}

/// The golden games whole, in quarters that begin and end anywhere, and a few at a time.
fn texts() -> Vec<Vec<u8>> {
    let text = [golden("edge-games.pgn"), golden("hand-counted.pgn")].concat();
    let quarters = text.chunks(text.len() / 4).map(<[u8]>::to_vec);
    quarters.chain([text.clone()]).collect()
}

fn try_again(target: &str, check: fn(&[u8])) {
    let fails = |bytes: &Vec<u8>| std::panic::catch_unwind(|| check(bytes)).is_err();
    let failed: Vec<String> =
        found(target).into_iter().filter(|(_, bytes)| fails(bytes)).map(|(name, _)| name).collect();
    assert!(failed.is_empty(), "these fail: {failed:#?}");
}

#[test]
fn the_reader_agrees_with_itself_and_with_another() {
    texts().iter().for_each(|text| checks::reader::check(text));
    try_again("reader", checks::reader::check);
}

#[test]
fn any_text_is_counted_as_by_the_model() {
    texts().iter().for_each(|text| checks::counts::check(text));
    try_again("counts", checks::counts::check);
}

#[test]
fn any_dump_is_cut_into_the_games_of_its_text() {
    texts().iter().for_each(|text| checks::dump::check(text));
    let packed = zstd::encode_all(&texts()[0][..], 3).expect("memory");
    (0..=packed.len()).step_by(97).for_each(|end| checks::dump::check(&packed[..end]));
    try_again("dump", checks::dump::check);
}

#[test]
fn accepted_counts_have_one_form() {
    try_again("codec", checks::codec::check);
}

/// Seeds with pieces put in, taken out, doubled and flipped, so many of them.
pub fn drawn(seeds: &[Vec<u8>], count: usize) -> impl Iterator<Item = Vec<u8>> {
    let (mut chance, pieces) = (StdRng::seed_from_u64(11), pieces("lines"));
    (0..count).map(move |_| {
        let mut bytes = seeds.choose(&mut chance).expect("there are some").clone();
        for _ in 0..chance.random_range(1..8) {
            let start = chance.random_range(0..=bytes.len());
            let end = (start + chance.random_range(0..40)).min(bytes.len());
            match chance.random_range(0..4) {
                0 => drop(bytes.drain(start..end)),
                1 => drop(bytes.splice(start..start, bytes[start..end].to_vec())),
                2 if start < end => bytes[start] ^= 1 << chance.random_range(0..8),
                _ => {
                    let piece = pieces.choose(&mut chance).expect("there are some");
                    bytes.splice(start..start, piece.bytes());
                }
            }
        }
        bytes
    })
}

#[track_caller]
fn holds(target: &str, seeds: &[Vec<u8>], check: fn(&[u8])) {
    for bytes in seeds.iter().cloned().chain(drawn(seeds, 600)) {
        let fails = std::panic::catch_unwind(|| check(&bytes)).is_err();
        assert!(!fails, "{target}: {:?}", String::from_utf8_lossy(&bytes));
    }
    try_again(target, check);
}

#[test]
fn any_file_of_traps_is_read_or_refused() {
    holds("traps", &checks::lines::trap_seeds(), checks::lines::traps);
}

#[test]
fn any_file_of_claims_is_read_or_refused() {
    holds("claims", &checks::lines::claim_seeds(), checks::lines::claims);
}

#[test]
fn any_file_of_prepared_lines_is_read_or_refused() {
    holds("prepared", &checks::lines::trap_seeds(), checks::lines::prepared);
}

#[test]
fn any_engine_is_understood_or_given_up() {
    holds("engine", &checks::engine::seeds(), checks::engine::check);
}
