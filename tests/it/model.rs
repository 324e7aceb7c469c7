//! The program against the model: random games, counted by both, position by position; and the
//! answers on the store are the answers on the model.

use deadfall::answers::Question;
use deadfall::answers::moves::table;
use deadfall::answers::trap::judge;
use deadfall::counts::{Counts, Limits};
use deadfall::games::Rules;
use deadfall::importer::{Memory, Plan, Progress, Stop, build};
use deadfall::lines::{Line, Trap};
use deadfall::source::Place;
use deadfall::store::Store;
use deadfall::terms::{BandRange, Key, MoverFilter, Pace, PaceSet};
use proptest::prelude::*;

use crate::kit::{Folder, ModelCounts, random_games};

/// Some random games; a few of them several times over, so that positions have more than one game.
fn repeated_games(seed: u64, count: usize, plies: usize) -> Vec<String> {
    let games = random_games(seed, count, plies);
    games.iter().enumerate().flat_map(|(n, game)| vec![game.clone(); 1 + n % 3]).collect()
}

/// The store that a build makes of the games, in a folder that lives as long.
fn store(games: &[String], half_moves: u16, keep_from: u64, threads: usize) -> (Folder, Store) {
    let folder = Folder::with("dump.pgn", games.concat());
    let plan = Plan {
        rules: Rules { half_moves, ..Rules::default() },
        keep_from,
        memory: Memory::LEAST,
        threads,
        ..Plan::new(folder.path("deadfall.redb"), vec![Place::File(folder.path("dump.pgn"))])
    };
    let outcome = build(&plan, &Progress::default(), &Stop::default()).expect("it can be built");
    assert_eq!(outcome.dumps[0].source.games.games_counted, games.len() as u64, "all games count");
    let store = Store::open(&plan.store).expect("a store");
    (folder, store)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]

    #[test]
    fn every_position_has_the_counts_of_the_model(
        seed: u64,
        count in 1usize..20,
        plies in 1usize..140,
        half_moves in 1u16..150,
        keep_from in 1u64..4,
        threads in 1usize..4,
    ) {
        let games = repeated_games(seed, count, plies);
        let model = ModelCounts::of(&games, half_moves, keep_from);
        let (_folder, store) = store(&games, half_moves, keep_from, threads);
        let stored = store.positions().collect::<Result<Vec<_>, _>>().expect("it can be read");
        let keys: Vec<Key> = stored.iter().map(|position| position.key).collect();
        prop_assert_eq!(keys, model.positions.keys().copied().collect::<Vec<_>>());
        for position in stored {
            let Ok(wanted) = model.position(position.key);
            let looked_up = store.position(position.key).expect("it can be read");
            prop_assert_eq!(looked_up.as_ref(), Some(&position));
            prop_assert_eq!(Some(position), wanted);
        }
        prop_assert_eq!(store.totals(), model.totals());
        let nameless_sides = store.limits().nameless_sides;
        prop_assert_eq!(store.limits(), &Limits { nameless_sides, ..model.limits().clone() });
    }
}

/// Games of a well-known trap, with choices on the way, by players of many ratings.
fn trap_games() -> Vec<String> {
    use crate::kit::Game;
    let lines = [
        "e4 e5 Nf3 Nc6 Bc4 Nd4 Nxe5 Qg5 Nxf7 Qxg2",
        "e4 e5 Nf3 Nc6 Bc4 Nd4 Nxe5 Qg5 Bxf7+ Ke7",
        "e4 e5 Nf3 Nc6 Bc4 Nd4 Nxd4 exd4",
        "e4 e5 Nf3 Nc6 Bc4 Bc5 c3 Nf6",
        "e4 e5 Nf3 Nc6 Bc4 Nd4 Nxe5 Qe7",
        "d4 d5 c4 e6",
    ];
    let game = |n: usize| {
        let (white, black) = (1000 + (n * 37 % 900) as u16, 1000 + (n * 91 % 1100) as u16);
        Game::of(lines[n * n % 7 % lines.len()])
            .ratings(white, black)
            .result(["1-0", "0-1", "0-1", "1/2-1/2"][n * 5 % 4])
            .tag("TimeControl", ["300+3", "60+0", "900+10"][n % 3])
    };
    (0..600).map(|n| game(n).to_string()).collect()
}

fn questions() -> [Question; 3] {
    let bands = BandRange::new(1200, 1600).expect("on the edges");
    let paces: PaceSet = [Pace::Blitz, Pace::Rapid].into_iter().collect();
    let all = Question { min_sample: 5, ..Question::default() };
    [Question::default(), all, all.about(MoverFilter { bands, paces })]
}

#[test]
fn move_tables_of_the_store_are_those_of_the_model() {
    let games = trap_games();
    let (mut model, (_folder, store)) = (ModelCounts::of(&games, 30, 2), store(&games, 30, 2, 2));
    model.limits.nameless_sides = store.limits().nameless_sides;
    for line in ["", "e4", "e4 e5 Nf3 Nc6 Bc4", "e4 e5 Nf3 Nc6 Bc4 Nd4", "c4"] {
        let line: Line = line.parse().expect("a line");
        let position = line.end();
        for question in questions() {
            let Ok(wanted) = table(&model, position, &question);
            assert_eq!(table(&store, position, &question).expect("it can be read"), wanted);
        }
    }
}

#[test]
fn trap_reports_on_the_store_are_those_on_the_model() {
    let games = trap_games();
    let (model, (_folder, store)) = (ModelCounts::of(&games, 30, 2), store(&games, 30, 2, 2));
    let line: Line = "e4 e5 Nf3 Nc6 Bc4 Nd4 Nxe5 Qg5 Nxf7 Qxg2".parse().expect("a line");
    let trap = Trap::new("Shilling".into(), line, 8).expect("a refutation follows");
    for question in questions() {
        let Ok(wanted) = judge(&model, &trap, &question);
        assert!(wanted.figures.games > 0, "the trap occurs");
        assert_eq!(judge(&store, &trap, &question).expect("it can be read"), wanted);
    }
}
