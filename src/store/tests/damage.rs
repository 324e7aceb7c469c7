//! Bits that fell over: an error or the truth, never a panic, never something else.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

use super::kit;
use crate::counts::{Counts, PositionCounts};
use crate::store::{Report, Store, StoreError, verify};
use crate::terms::{Key, MoverFilter};

const PAGE: usize = 4096;

type Truth = BTreeMap<Key, PositionCounts>;

/// Asks for `keys` and reads all; whether any of it was refused.
fn is_refused(path: &Path, truth: &Truth, keys: &[Key]) -> bool {
    match Store::open(path) {
        Ok(store) => {
            assert_eq!(asking_at_once(path, truth, keys), first_error(path, keys));
            [asking(&store, truth, keys), walking(&store, truth)].contains(&true)
        }
        Err(error) => {
            assert_clear(&error);
            true
        }
    }
}

fn asking(store: &Store, truth: &Truth, keys: &[Key]) -> bool {
    let mut refused = false;
    for &key in keys {
        match store.position(key) {
            Ok(found) => assert_eq!(found.as_ref(), truth.get(&key), "a wrong answer"),
            Err(error) => {
                assert_clear(&error);
                refused = true;
            }
        }
    }
    refused
}

/// The error that asking for one after the other meets first.
fn first_error(path: &Path, keys: &[Key]) -> Option<String> {
    let store = Store::open(path).expect("it opened before");
    keys.iter().find_map(|&key| store.position(key).err()).map(|error| error.to_string())
}

fn asking_at_once(path: &Path, truth: &Truth, keys: &[Key]) -> Option<String> {
    let store = Store::open(path).expect("it opened before");
    let found = store.moves_of_many(
        keys,
        |_, moves, groups| (moves.to_vec(), groups(MoverFilter::ALL)),
        |place, (moves, groups)| {
            let at = &truth[&keys[place]];
            assert_eq!((&at.moves, at.groups_by_move(MoverFilter::ALL)), (&moves, groups));
        },
    );
    found.err().map(|error| error.to_string())
}

fn walking(store: &Store, truth: &Truth) -> bool {
    let mut left = truth.values();
    for position in store.positions() {
        match position {
            Ok(position) => assert_eq!(Some(&position), left.next(), "a wrong position"),
            Err(error) => {
                assert_clear(&error);
                return true;
            }
        }
    }
    assert_eq!(left.next(), None, "a walk that ended early");
    false
}

fn assert_clear(error: &StoreError) {
    use StoreError::{Damaged, NotAStore, OtherFormat};
    assert!(matches!(error, Damaged { .. } | NotAStore { .. } | OtherFormat { .. }), "{error}");
    assert!(!error.to_string().contains('\n'), "{error}");
}

fn keys_of(truth: &Truth) -> Vec<Key> {
    let present = truth.keys().step_by(23).copied();
    let absent = truth.keys().step_by(31).map(|key| Key(key.0 ^ 1));
    present.chain(absent).chain([Key(0), Key(u64::MAX)]).collect()
}

/// Flips bits one at a time and puts them back; how many were refused by reading, by the check.
fn flip(count: usize, seed: u64, place: impl Fn(&mut ChaCha8Rng, usize) -> usize) -> [usize; 2] {
    let (_folder, path) = kit::place();
    let positions = kit::positions(2500, seed);
    kit::write(&path, &positions);
    let truth: Truth = positions.into_iter().map(|at| (at.key, at)).collect();
    let (keys, whole) = (keys_of(&truth), fs::read(&path).expect("read"));
    let mut random = ChaCha8Rng::seed_from_u64(seed);
    let mut refused = [0; 2];
    for _ in 0..count {
        let mut bytes = whole.clone();
        let place = place(&mut random, whole.len());
        bytes[place] ^= 1 << random.random_range(0..8);
        fs::write(&path, &bytes).expect("written");
        let by_reading = is_refused(&path, &truth, &keys);
        let by_check = !verify(&path).as_ref().is_ok_and(Report::is_sound);
        assert!(by_check || !by_reading, "byte {place}: read as damaged, checked as sound");
        refused[0] += usize::from(by_reading);
        refused[1] += usize::from(by_check);
        assert_eq!(fs::read(&path).expect("read"), bytes, "the check must not write");
    }
    refused
}

#[test]
fn a_bit_flipped_anywhere_never_gives_a_wrong_position() {
    let refused = flip(150, 11, |random, length| random.random_range(0..length));
    assert!(refused[0] > 30, "most of the file is entries: {refused:?}");
}

#[test]
fn a_bit_flipped_at_the_head_of_a_page_never_gives_a_wrong_position() {
    let refused = flip(150, 12, |random, length| {
        random.random_range(0..length / PAGE) * PAGE + random.random_range(0..48)
    });
    assert!(refused[0] > 30, "page heads hold the tree together: {refused:?}");
}

#[test]
fn the_check_names_the_position_that_is_damaged() {
    let (_folder, path) = kit::place();
    let positions = kit::positions(500, 13);
    kit::write(&path, &positions);
    let mut bytes = fs::read(&path).expect("read");
    let mut body = Vec::new();
    crate::store::codec::encode_body(&positions[250], &mut body);
    let place = bytes.windows(body.len()).position(|window| window == body).expect("stored");
    bytes[place + 3] ^= 4;
    fs::write(&path, bytes).expect("written");
    let report = verify(&path).expect("opened");
    let name = format!("position {}", positions[250].key);
    assert!(report.findings.iter().any(|what| what.starts_with(&name)), "{report:?}");
    assert_eq!(report.positions, 499);
}
