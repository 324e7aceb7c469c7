//! Stores to test with.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use proptest::collection::{btree_map, vec};
use proptest::prelude::*;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use tempfile::TempDir;

use crate::counts::{
    Cell, CellGroups, GroupGames, MoveCounts, Opening, OpeningTag, PositionCounts, Total, Totals,
};
use crate::games::{Date, LeftOut, LeftOutTally, Rules};
use crate::ledger::{DumpHash, FileHash, Fingerprint, GameTally, Source};
use crate::store::codec::encode_body;
use crate::store::{Header, StoreError, Written, write_store};
use crate::terms::{CellId, Group, Key, MoveCode};

/// Pages held back while a store is written, in bytes.
pub const CACHE: usize = 64 << 20;

/// A folder that goes when it is dropped, and the place of a store in it.
pub fn place() -> (TempDir, PathBuf) {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("test.redb");
    (folder, path)
}

pub fn header(positions: &[PositionCounts]) -> Header {
    let mut left_out = LeftOutTally::default();
    left_out.add(LeftOut::Computer);
    let mut totals = Totals::default();
    let id = CellId::from_bits(91).expect("an id");
    let cell = Cell { games: 3, wins: 1, draws: 1, expected_milli: 1400, ..Cell::default() };
    let mut groups = GroupGames::default();
    [0, 17, 31].into_iter().for_each(|index| groups.add(group(index), 1));
    let total = Total { cell, expected_sq: 660_000, expected_result: 700_000, groups };
    totals.add(shakmaty::Color::White, id, &total);
    let kept: u64 = positions.iter().map(PositionCounts::games).sum();
    Header {
        rules: Rules::default(),
        keep_from: 5,
        absent_may_lack: 4,
        visits: kept + 17,
        visits_dropped: 17,
        totals,
        sources: vec![Source {
            name: "harbour-2031-05.pgn.zst".into(),
            hash: DumpHash(7),
            fingerprint: Fingerprint {
                bytes: 1000,
                file_bytes: Some(100),
                file_hash: Some(FileHash(9)),
            },
            games: GameTally {
                games_read: 4,
                games_counted: 3,
                nameless_sides: 1,
                left_out,
                first: Date::from_tag(b"2031.05.01"),
                last: None,
                undated: 2,
            },
            complete: false,
        }],
        names_given_up: false,
    }
}

pub fn write(path: &Path, positions: &[PositionCounts]) -> Written {
    write_with(path, positions, header(positions))
}

pub fn write_with(path: &Path, positions: &[PositionCounts], header: Header) -> Written {
    let written = write_store::<_, StoreError>(path, CACHE, &Arc::default(), |sink| {
        let mut body = Vec::new();
        for position in positions {
            body.clear();
            let head = encode_body(position, &mut body);
            sink.push(position.key, head, &body, position.opening.as_ref())?;
        }
        Ok((header, ()))
    });
    written.expect("a store").0
}

/// Positions as a build leaves them: many small cells, a few large ones, names for most.
pub fn positions(count: usize, seed: u64) -> Vec<PositionCounts> {
    let mut random = ChaCha8Rng::seed_from_u64(seed);
    let mut keys: Vec<u64> = (0..count).map(|_| random.random()).collect();
    keys.sort_unstable();
    keys.dedup();
    keys.into_iter().map(|key| position(Key(key), &mut random)).collect()
}

fn position(key: Key, random: &mut ChaCha8Rng) -> PositionCounts {
    let mut codes: Vec<u16> =
        (0..random.random_range(1..6)).map(|_| random.random_range(0..0x1000) << 3).collect();
    codes.sort_unstable();
    codes.dedup();
    let moves = codes.into_iter().map(|code| MoveCounts {
        code: MoveCode::from_bits(code).expect("no promotion"),
        cells: (0..random.random_range(1..5)).map(|place| cell(place, random)).collect(),
    });
    let moves: Vec<MoveCounts> = moves.collect();
    let groups = spread(&moves, random.random());
    let opening = random.random_bool(0.8).then(|| {
        let name = format!("Opening {}", random.random_range(0..200));
        Opening { tag: OpeningTag { eco: "C50".into(), name }, tally: random.random_range(1..90) }
    });
    PositionCounts { key, may_lack: 0, opening, moves, groups }
}

pub fn group(index: usize) -> Group {
    Group::from_index(index % Group::COUNT).expect("a remainder")
}

/// The games of cells in groups: each in a few, some of them most of the games.
pub fn spread(moves: &[MoveCounts], seed: u64) -> CellGroups {
    let (mut random, mut groups) = (ChaCha8Rng::seed_from_u64(seed), CellGroups::default());
    for mv in moves {
        for (id, cell) in &mv.cells {
            let mut left = cell.games;
            while left > 0 {
                let some = if random.random_bool(0.9) { 1 + left / 9 } else { left };
                groups.add(mv.code, *id, group(random.random_range(0..64)), some);
                left -= some;
            }
        }
    }
    groups
}

fn cell(place: u8, random: &mut ChaCha8Rng) -> (CellId, Cell) {
    let id = CellId::from_bits(place * 55 + random.random_range(0..50)).expect("below the count");
    let games = if random.random_bool(0.9) { random.random_range(1..4) } else { 300 };
    let wins = random.random_range(0..=games);
    let expected_milli = games * random.random_range(400..600);
    (id, Cell { games, wins, draws: (games - wins) / 2, expected_milli, ..Cell::default() })
}

prop_compose! {
    /// Any cell that could have been counted.
    pub fn any_cell()(
        games in prop_oneof![1u64..6, 1u64..100_000],
        share in proptest::array::uniform5(0u64..=1000),
        tenths in 0u64..1_000_000,
        square in any::<u64>(),
        centipawns in -1000i64..=1000,
        kind in 0u8..6,
    ) -> Cell {
        let part = |whole: u64, share: u64| whole * share / 1000;
        let wins = part(games, share[0]);
        let clock_games = [0, games, part(games, share[1])][usize::from(kind % 3)];
        let eval_games = if kind < 3 { 0 } else { part(games, share[2]) };
        let clock_tenths = if clock_games == 0 { 0 } else { tenths };
        Cell {
            games,
            wins,
            draws: part(games - wins, share[3]),
            expected_milli: games * share[4],
            clock_games,
            clock_tenths,
            clock_tenths_sq: match clock_games {
                0 => 0,
                1 => tenths * tenths,
                _ => square,
            },
            eval_games,
            eval_cp: centipawns * eval_games as i64,
        }
    }
}

prop_compose! {
    /// Any position that could have been counted.
    pub fn any_position()(
        key in any::<u64>(),
        may_lack in prop_oneof![Just(0u64), any::<u64>()],
        opening in proptest::option::of(("[A-E]?[0-9]{0,2}", "\\PC{0,20}", any::<u64>())),
        moves in btree_map(0u16..0x1000, btree_map(0u8..240, any_cell(), 1..6), 1..12),
        promotion in vec(0u16..5, 12),
        seed in any::<u64>(),
    ) -> PositionCounts {
        let moves = moves.into_iter().zip(promotion).map(|((squares, cells), promotion)| {
            let cells = cells.into_iter();
            MoveCounts {
                code: MoveCode::from_bits(squares << 3 | promotion).expect("a move"),
                cells: cells
                    .map(|(id, cell)| (CellId::from_bits(id).expect("an id"), cell))
                    .collect(),
            }
        });
        let opening = opening
            .map(|(eco, name, tally)| Opening { tag: OpeningTag { eco, name }, tally });
        let moves: Vec<MoveCounts> = moves.collect();
        let groups = spread(&moves, seed);
        PositionCounts { key: Key(key), may_lack, opening, moves, groups }
    }
}
