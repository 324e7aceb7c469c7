//! The bytes themselves: a test here that fails means a new format number.

use super::kit::group;
use crate::counts::{Cell, CellGroups, MoveCounts, Opening, OpeningTag, PositionCounts};
use crate::store::codec::encode_body;
use crate::store::{entry, schema};
use crate::terms::{Band, CellId, Key, Pace};

fn cell(rating: usize, pace: Pace, cell: Cell) -> (CellId, Cell) {
    (CellId::new(Band::from_index(rating / 100).expect("a band"), pace), cell)
}

fn mv(uci: &str, cells: Vec<(CellId, Cell)>) -> MoveCounts {
    let uci: shakmaty::uci::UciMove = uci.parse().expect("a move");
    MoveCounts { code: uci.into(), cells }
}

/// Of each cell in order: groups with their games.
fn body(may_lack: u64, moves: Vec<MoveCounts>, by_group: &[&[(usize, u64)]]) -> Vec<u8> {
    let opening = Some(Opening { tag: OpeningTag::default(), tally: 1 });
    let (mut out, mut groups) = (Vec::new(), CellGroups::default());
    let cells = moves.iter().flat_map(|mv| mv.cells.iter().map(|(id, _)| (mv.code, *id)));
    for ((code, id), rows) in cells.zip(by_group) {
        rows.iter().for_each(|&(index, games)| groups.add(code, id, group(index), games));
    }
    encode_body(&PositionCounts { key: Key(1), may_lack, opening, moves, groups }, &mut out);
    out
}

/// Worked out by hand from the layout in the module's documentation.
#[test]
fn one_game_takes_nine_bytes() {
    let win = Cell { games: 1, wins: 1, expected_milli: 536, ..Cell::default() };
    let bytes = body(0, vec![mv("e2e4", vec![cell(1500, Pace::Blitz, win)])], &[&[(22, 1)]]);
    assert_eq!(bytes, [0, 1, 1, 0x18, 0xc3, 91, 2, 72, 22]);
}

/// Worked out by hand from the layout in the module's documentation.
#[test]
fn clocks_evaluations_and_large_cells_have_their_places() {
    let large = Cell {
        games: 200,
        wins: 90,
        draws: 30,
        expected_milli: 99_000,
        clock_games: 150,
        clock_tenths: 300,
        clock_tenths_sq: 1000,
        eval_games: 2,
        eval_cp: -30,
    };
    let two = Cell {
        games: 2,
        draws: 1,
        expected_milli: 1000,
        clock_games: 2,
        clock_tenths: 9,
        clock_tenths_sq: 41,
        ..Cell::default()
    };
    let one = Cell {
        games: 1,
        draws: 1,
        expected_milli: 490,
        clock_games: 1,
        clock_tenths: 20,
        clock_tenths_sq: 400,
        eval_games: 1,
        eval_cp: 15,
        ..Cell::default()
    };
    let first = mv("a7a8q", vec![cell(0, Pace::Bullet, large), cell(100, Pace::Rapid, two)]);
    let second = mv("h1g1", vec![cell(3900, Pace::Unknown, one)]);
    #[rustfmt::skip]
    let expected = [
        4, 203, 1, 3,
        0x3b, 0x0c, 2,
        0, 209, 200, 1, 90, 30, 0xcf, 0x0f, 150, 1, 172, 2, 232, 7, 2, 59,
        8, 74, 0, 9, 41,
        0x80, 0xf1,
        239, 106, 19, 20, 1, 30,
        // 130 of 200 games are in group 0: 32 ones, a zero, and 2 in two bits. 30 times
        // nothing: 000. In group 31 are 70: 17 ones, a zero, and 2 in two bits. Then 9, 9 and 31 in
        // five bits each.
        255, 255, 255, 255, 4, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 224, 255, 63, 83, 250,
    ];
    let by_group: [&[(usize, u64)]; 3] = [&[(0, 130), (31, 70)], &[(9, 2)], &[(31, 1)]];
    assert_eq!(body(4, vec![first, second], &by_group), expected);
}

/// Checksums computed with the reference implementation of xxh3-64 (xxHash 0.8.4).
#[test]
fn an_entry_is_checksum_opening_body() {
    let mut out = Vec::new();
    entry::seal(None, Key(1), None, &[0, 1, 1], &mut out);
    assert_eq!(out, [25, 240, 126, 123, 0, 0, 1, 1]);
    entry::seal(Some(Key(1)), Key(2), Some((127, 9)), &[0, 1, 1], &mut out);
    assert_eq!(out, [221, 24, 229, 61, 0x80, 1, 9, 0, 1, 1]);
}

/// Checksum computed with the reference implementation of xxh3-64 (xxHash 0.8.4).
#[test]
fn entries_about_the_store_are_sealed() {
    assert_eq!(schema::format_text(schema::FORMAT), "deadfall store, format 2");
    let sealed = schema::seal("header", b"{}");
    assert_eq!(sealed, [245, 148, 129, 193, 182, 179, 34, 250, b'{', b'}']);
    assert_eq!(schema::unseal("header", &sealed), Some(&b"{}"[..]));
    assert_eq!(schema::unseal("summary", &sealed), None);
}
