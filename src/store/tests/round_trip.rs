//! What goes in comes out.

use proptest::prelude::*;

use super::kit;
use crate::counts::{CellGroups, Counts, GroupsOf, MoveCounts, PositionCounts};
use crate::store::codec::{decode_body, encode_body, put_varint};
use crate::store::{Store, StoreError, verify};
use crate::terms::{BandRange, Key, MoverFilter, PaceSet};

fn body_of(position: &PositionCounts) -> Vec<u8> {
    let mut body = Vec::new();
    encode_body(position, &mut body);
    body
}

proptest! {
    #[test]
    fn any_position_comes_back(position in kit::any_position()) {
        let body = body_of(&position);
        let back = decode_body(position.key, position.opening.clone(), &body);
        prop_assert_eq!(back, Ok(position));
    }

    #[test]
    fn a_body_cut_short_is_refused(position in kit::any_position(), share in 0usize..1000) {
        let body = body_of(&position);
        let cut = &body[..body.len() * share / 1000];
        prop_assert!(decode_body(position.key, None, cut).is_err());
    }

    #[test]
    fn any_bytes_are_decoded_to_what_encodes_to_them_or_refused(
        bytes in proptest::collection::vec(any::<u8>(), 0..60),
    ) {
        if let Ok(position) = decode_body(Key(1), None, &bytes) {
            prop_assert_eq!(body_of(&position), bytes);
        }
    }

    #[test]
    fn a_changed_byte_is_decoded_to_what_encodes_to_it_or_refused(
        position in kit::any_position(),
        place in any::<prop::sample::Index>(),
        bit in 0u8..8,
    ) {
        let mut body = body_of(&position);
        let place = place.index(body.len());
        body[place] ^= 1 << bit;
        if let Ok(other) = decode_body(Key(1), None, &body) {
            prop_assert_eq!(body_of(&other), body);
        }
    }
}

/// One move of one cell of so many games; what follows the cell's id is `cell`, and behind it the
/// games by group.
fn body_with(games: u8, cell: &[u8], groups: &[u8]) -> Vec<u8> {
    let (may_lack, cells) = (0, 1);
    let single_move = (1u16 << 15 | 12 << 9 | 28 << 3).to_le_bytes();
    [&[may_lack, games, cells][..], &single_move, &[100], cell, groups].concat()
}

/// The same of two games of group 0.
fn body_of_two_games(cell: &[u8]) -> Vec<u8> {
    body_with(2, cell, &[0, 0])
}

/// Bits, lowest first, in bytes; the last is filled with zeros.
fn bytes_of(bits: &str) -> Vec<u8> {
    let bits: Vec<u8> = bits.bytes().filter(|&bit| bit != b' ').map(|bit| bit - b'0').collect();
    bits.chunks(8).map(|byte| byte.iter().rev().fold(0, |sum, bit| sum << 1 | bit)).collect()
}

#[test]
fn games_by_group_have_one_form_and_add_up() {
    const TWO_LOST: u8 = 3;
    const WIDE: u8 = 34;
    let of_two =
        |bits: &str| decode_body(Key(1), None, &body_with(2, &[TWO_LOST, 0], &bytes_of(bits)));
    let rows = |found: &PositionCounts| -> Vec<(usize, u64)> {
        found.groups.rows().map(|(_, _, group, games)| (group.index(), games)).collect()
    };
    assert_eq!(rows(&of_two("10000 11111").expect("sound")), [(1, 1), (31, 1)]);
    assert_eq!(rows(&of_two("01000 01000").expect("sound")), [(2, 2)]);
    for wrong in ["11111 10000", "10000 11111 000001", "10000 11111 000000 00000000", "10000"] {
        assert!(of_two(wrong).is_err(), "{wrong}");
    }
    // 65 games, two a group: the lowest bit comes behind the zero that ends the ones.
    let of_many = |last: &str| {
        let bits = format!("01 11100 {}01 {} {last}", "1".repeat(28), "00 ".repeat(28));
        decode_body(Key(1), None, &body_with(65, &[WIDE, 65, 0, 0, 0], &bytes_of(&bits)))
    };
    assert_eq!(rows(&of_many("01").expect("sound")), [(0, 1), (1, 6), (2, 57), (31, 1)]);
    for wrong in ["00", "100", "101", "01 1", "01 00000000", "1111111111", ""] {
        assert!(of_many(wrong).is_err(), "{wrong}");
    }
}

#[test]
fn a_cell_in_a_longer_form_than_its_own_is_refused() {
    const TWO_LOST: u8 = 3;
    const WIDE: u8 = 34;
    const EVALS: u8 = 35;
    const SOME_CLOCKS: u8 = 2 * 2 * 35;
    let decoded = |cell: &[u8]| decode_body(Key(1), None, &body_of_two_games(cell));
    assert_eq!(decoded(&[TWO_LOST, 0]).expect("sound").games(), 2);
    assert!(decoded(&[TWO_LOST + SOME_CLOCKS, 0, 1, 9]).is_ok());
    for longer in [
        &[WIDE, 2, 0, 0, 0][..],
        &[TWO_LOST + EVALS, 0, 0, 0],
        &[TWO_LOST + SOME_CLOCKS, 0, 0, 0],
        &[TWO_LOST + SOME_CLOCKS, 0, 2, 9, 41],
    ] {
        let refused = decoded(longer).expect_err("a longer form");
        assert_eq!(refused.to_string(), "a cell in a longer form than its own");
    }
}

#[test]
fn sums_that_no_game_could_reach_are_refused() {
    const TWO_LOST_ALL_CLOCKS: u8 = 3 + 2 * 35;
    let mut cell = vec![TWO_LOST_ALL_CLOCKS, 0];
    put_varint(&mut cell, 1 << 30);
    cell.push(1);
    let refused = decode_body(Key(1), None, &body_of_two_games(&cell)).expect_err("too long");
    assert_eq!(refused.to_string(), "more time spent than a reading holds");
}

#[test]
fn a_store_gives_back_every_position_and_no_other() {
    let (_folder, path) = kit::place();
    let truth = kit::positions(3000, 1);
    let written = kit::write(&path, &truth);
    let store = Store::open(&path).expect("a store");
    let all: Result<Vec<PositionCounts>, StoreError> = store.positions().collect();
    assert_eq!(all.expect("sound"), truth);
    for position in &truth {
        let found = store.position(position.key).expect("sound");
        assert_eq!(found.as_ref(), Some(position));
    }
    for absent in truth.iter().flat_map(|position| [position.key.0 - 1, position.key.0 + 1]) {
        assert_eq!(store.position(Key(absent)).expect("sound"), None);
    }
    for absent in [0, u64::MAX] {
        assert_eq!(store.position(Key(absent)).expect("sound"), None);
    }
    assert_eq!(*store.summary(), written.summary);
    assert_eq!(written.summary.positions, 3000);
}

#[test]
fn a_store_gives_back_its_header() {
    let (_folder, path) = kit::place();
    kit::write(&path, &[]);
    let store = Store::open(&path).expect("a store");
    assert_eq!(*store.header(), kit::header(&[]));
    assert_eq!(store.totals(), &kit::header(&[]).totals);
    assert_eq!(store.limits().incomplete, ["harbour-2031-05.pgn.zst"]);
}

#[test]
fn a_store_may_be_empty() {
    let (_folder, path) = kit::place();
    kit::write(&path, &[]);
    let store = Store::open(&path).expect("a store");
    assert!(store.positions().next().is_none());
    assert_eq!(store.position(Key(7)).expect("sound"), None);
    assert!(verify(&path).expect("opened").is_sound());
}

#[test]
fn a_sound_store_passes_the_check_and_is_not_changed_by_it() {
    let (_folder, path) = kit::place();
    let truth = kit::positions(2000, 3);
    let written = kit::write(&path, &truth);
    let before = std::fs::read(&path).expect("read");
    let report = verify(&path).expect("opened");
    assert_eq!(report.findings, Vec::<String>::new());
    assert_eq!((report.positions, report.visits), (2000, written.summary.visits));
    assert_eq!(std::fs::read(&path).expect("read"), before);
}

#[test]
fn a_new_store_takes_the_place_of_the_old() {
    let (folder, path) = kit::place();
    kit::write(&path, &kit::positions(10, 4));
    let open_before = Store::open(&path).expect("a store");
    let temporary = folder.path().join("new.redb");
    kit::write(&temporary, &kit::positions(20, 5));
    std::fs::rename(&temporary, &path).expect("replaced");
    assert!(!temporary.exists());
    assert_eq!(Store::open(&path).expect("a store").summary().positions, 20);
    assert_eq!(open_before.positions().count(), 10);
}

#[test]
fn threads_may_share_a_store() {
    let (_folder, path) = kit::place();
    let truth = kit::positions(200, 6);
    kit::write(&path, &truth);
    let store = Store::open(&path).expect("a store");
    std::thread::scope(|scope| {
        for half in truth.chunks(100) {
            let store = &store;
            scope.spawn(move || {
                for position in half {
                    let found = store.position(position.key).expect("sound");
                    assert_eq!(found.as_ref(), Some(position));
                }
            });
        }
    });
}

const FILTERS: [MoverFilter; 2] = [
    MoverFilter::ALL,
    MoverFilter { bands: BandRange { from: 1200, below: 1700 }, paces: PaceSet::ALL },
];

#[test]
fn many_positions_are_found_as_one_by_one() {
    let (_folder, path) = kit::place();
    let truth = kit::positions(6000, 7);
    kit::write(&path, &truth);
    let store = Store::open(&path).expect("a store");
    // More than one batch, every second key in no position.
    let keys: Vec<Key> = truth.iter().flat_map(|at| [at.key, Key(at.key.0 ^ 1)]).collect();
    for keys in [&keys[..], &keys[..1], &[]] {
        let (mut found, mut expected) = (Vec::new(), Vec::new());
        let draw = |place: usize, moves: &[MoveCounts], groups: &GroupsOf<'_>| {
            (place, moves.to_vec(), FILTERS.map(groups))
        };
        let many = store.moves_of_many(keys, draw, |place, drawn| found.push((place, drawn)));
        many.expect("sound");
        for (place, &key) in keys.iter().enumerate() {
            let position = store.position(key).expect("sound");
            for filter in FILTERS {
                let under = store.position_under(key, filter).expect("sound");
                let plain = position.clone().map(|at| {
                    let groups = at.groups_by_move(filter);
                    (PositionCounts { groups: CellGroups::default(), ..at }, groups)
                });
                assert_eq!(under, plain);
            }
            expected.extend(position.map(|at| {
                let groups = FILTERS.map(|filter| at.groups_by_move(filter));
                (place, (place, at.moves, groups))
            }));
        }
        assert_eq!(found, expected);
    }
}
