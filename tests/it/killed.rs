//! Builds killed at random moments.

use std::thread::sleep;
use std::time::Instant;

use rand::rngs::StdRng;
use rand::{RngExt, SeedableRng};

use crate::kit::{Folder, random_games};

const KILLS: usize = 100;

fn games(seed: u64, count: usize) -> String {
    random_games(seed, count, 40).concat()
}

/// The store opens, is sound, and this is what it holds.
#[track_caller]
fn content(folder: &Folder) -> String {
    folder.run("about --verify").answer();
    ["export", "export --totals", "export --names"].map(|table| folder.run(table).answer()).concat()
}

#[test]
#[ignore = "a hundred builds"]
fn a_store_holds_the_old_or_the_new_content_whenever_a_build_is_killed() {
    let folder = Folder::built(games(1, 500), "--keep-from 1");
    folder.write("more.pgn", games(2, 4_000));
    std::fs::create_dir(folder.path("elsewhere")).expect("it can be made");
    let store = folder.read("deadfall.redb");
    let old = content(&folder);
    let started = Instant::now();
    folder.run("build more.pgn").ok();
    let whole = started.elapsed();
    let new = content(&folder);
    let mut chance = StdRng::seed_from_u64(3);
    let (mut kept, mut replaced, mut dead) = (0, 0, 0);
    for round in 0..KILLS {
        folder.write("deadfall.redb", &store);
        let mut command = folder.program();
        command.args(["build", "more.pgn"]);
        if round % 2 == 1 {
            command.args(["--temp-dir", "elsewhere"]);
        }
        let mut child = command.spawn().expect("it starts");
        sleep(whole.mul_f64(chance.random_range(0.0..1.1)));
        child.kill().expect("it can be killed");
        dead += usize::from(!child.wait().expect("it ends").success());
        let now = content(&folder);
        kept += usize::from(now == old);
        replaced += usize::from(now == new);
        assert_eq!(kept + replaced, round + 1, "neither the old nor the new content");
        let unfinished = folder.files().iter().filter(|file| file.contains("unfinished")).count();
        assert!(unfinished <= 4, "temporary files pile up: {:?}", folder.files());
    }
    assert!(dead > KILLS / 2 && kept > 0, "{dead} killed, {kept} kept, {replaced} replaced");
    folder.write("deadfall.redb", &store);
    folder.run("build more.pgn").ok();
    assert!(content(&folder) == new);
    assert_eq!(folder.files(), ["deadfall.redb", "dump.pgn", "elsewhere/", "more.pgn"]);
}
