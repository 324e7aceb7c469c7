//! Records that go to disk on the way count like those that stay in memory.

use std::path::Path;
use std::sync::LazyLock;

use deadfall::games::Rules;
use deadfall::importer::{Memory, Plan, Progress, Stop, build};
use deadfall::source::Place;
use deadfall::store::Store;

use crate::kit::{Folder, greedy, random_games};

/// Some 800,000 half-moves, twice what two workers hold in the least memory beside a greedy dump,
/// with positions that nearly every run has thousands of times.
static GAMES: LazyLock<String> = LazyLock::new(|| random_games(23, 700, 60).concat().repeat(24));

/// Builds `store` from a dump, or adds to it; how many runs were written.
fn built(folder: &Folder, dump: &str, store: &str, memory: Memory, threads: usize) -> usize {
    built_from(1, folder, dump, store, memory, threads)
}

/// The same of positions with so many games.
fn built_from(
    keep_from: u64,
    folder: &Folder,
    dump: &str,
    store: &str,
    memory: Memory,
    threads: usize,
) -> usize {
    let plan = Plan {
        rules: Rules { half_moves: 60, ..Rules::default() },
        keep_from,
        memory,
        threads,
        ..Plan::new(folder.path(store), vec![Place::File(folder.path(dump))])
    };
    build(&plan, &Progress::default(), &Stop::default()).expect("it can be built").runs
}

/// All that a store holds on positions.
fn content(path: &Path) -> Vec<String> {
    let store = Store::open(path).expect("a sound store");
    store.positions().map(|position| format!("{:?}", position.expect("sound"))).collect()
}

#[test]
fn runs_on_disk_and_sums_beside_them_do_not_show() {
    let folder = Folder::with("dump.pgn.zst", greedy(&GAMES));
    folder.write("first.pgn", random_games(29, 300, 60).concat());
    let plenty = Memory::new(2 << 30).expect("enough");
    for store in ["wanted.redb", "added.redb"] {
        built(&folder, "first.pgn", store, plenty, 2);
    }
    assert_eq!(built(&folder, "dump.pgn.zst", "wanted.redb", plenty, 2), 0);
    assert!(built(&folder, "dump.pgn.zst", "added.redb", Memory::LEAST, 2) > 0);
    assert!(content(&folder.path("wanted.redb")) == content(&folder.path("added.redb")));
}

/// Every position of the dump has 24 games or more, and those of the first moves thousands.
#[test]
fn rare_positions_go_whether_there_are_runs_or_not() {
    let folder = Folder::with("dump.pgn.zst", greedy(&GAMES));
    let plenty = Memory::new(2 << 30).expect("enough");
    let mut positions = Vec::new();
    for keep_from in [25, 255, 300, 2000] {
        let (wanted, spilled) = (format!("{keep_from}.redb"), format!("{keep_from}-spilled.redb"));
        let built =
            |store: &str, memory| built_from(keep_from, &folder, "dump.pgn.zst", store, memory, 2);
        assert_eq!(built(&wanted, plenty), 0);
        assert!(built(&spilled, Memory::LEAST) > 0);
        let [kept, others] = [wanted, spilled].map(|store| content(&folder.path(&store)));
        assert!(kept == others, "{keep_from}");
        positions.push(kept.len());
    }
    assert!(positions[0] > positions[1] && positions[3] > 0, "{positions:?}");
}

/// Takes minutes unless optimised; ask for it with `--ignored`.
#[test]
#[ignore = "counts ten million half-moves"]
fn many_runs_do_not_show() {
    let folder = Folder::with("dump.pgn", random_games(31, 2_400, 80).concat().repeat(120));
    let plenty = Memory::new(2 << 30).expect("enough");
    assert_eq!(built(&folder, "dump.pgn", "wanted.redb", plenty, 2), 0);
    let wanted = content(&folder.path("wanted.redb"));
    for threads in [1, 3] {
        let store = format!("{threads}.redb");
        assert!(built(&folder, "dump.pgn", &store, Memory::LEAST, threads) > 1);
        assert!(content(&folder.path(&store)) == wanted, "{threads} threads");
    }
}
