//! The same games give the same store content, however they come and however they are counted.

use std::sync::LazyLock;

use deadfall::games::Rules;
use deadfall::importer::{Memory, Plan, Progress, Stop, build};
use deadfall::source::Place;

use crate::kit::{Folder, bzip2, greedy, gzip, random_games};

/// Random games, several batches' worth.
static GAMES: LazyLock<Vec<String>> = LazyLock::new(|| random_games(31, 2_400, 80));

static DUMP: LazyLock<String> = LazyLock::new(|| GAMES.concat());

/// What a plain build on one thread exports.
static WANTED: LazyLock<[String; 5]> = LazyLock::new(|| {
    let folder = Folder::with("dump.pgn", DUMP.as_str());
    exports(&folder, "build dump.pgn --threads 1")
});

/// Cells, totals, both by group, and names after a build.
#[track_caller]
fn exports(folder: &Folder, command: &str) -> [String; 5] {
    folder.run(&format!("{command} --keep-from 2 --half-moves 60")).ok();
    tables(folder)
}

fn tables(folder: &Folder) -> [String; 5] {
    ["", "--totals", "--groups", "--totals --groups", "--names"]
        .map(|table| folder.run(&format!("export {table}")).answer())
}

/// Builds from files of these contents and compares.
#[track_caller]
fn counts_the_same(files: &[(&str, Vec<u8>)], command: &str) {
    let folder = Folder::new();
    files.iter().for_each(|(name, content)| folder.write(name, content));
    let same = exports(&folder, command) == *WANTED;
    assert!(same, "{command}: the store holds something else");
}

fn plain() -> Vec<u8> {
    DUMP.clone().into_bytes()
}

fn zstd_frame(text: &str) -> Vec<u8> {
    zstd::encode_all(text.as_bytes(), 1).expect("memory takes it")
}

#[test]
fn the_dump_is_cut_into_several_batches_and_holds_something() {
    assert!(DUMP.len() > 2 * Memory::BATCH, "{} bytes", DUMP.len());
    assert!(WANTED.iter().all(|table| table.lines().count() > 10));
}

#[test]
fn threads_do_not_show() {
    for threads in [2, 8] {
        counts_the_same(&[("a.pgn", plain())], &format!("build a.pgn --threads {threads}"));
    }
}

/// Eight times the games, beside a greedy frame: more half-moves than the least memory holds. Those
/// that go to disk go to a folder of their own.
#[test]
fn memory_and_the_place_of_temporary_files_do_not_show() {
    let dump = greedy(&DUMP.repeat(8));
    let built = |memory| {
        let folder = Folder::with("a.pgn.zst", &dump);
        let store = folder.path("deadfall.redb");
        std::fs::create_dir(folder.path("runs")).expect("the folder is writable");
        let plan = Plan {
            rules: Rules { half_moves: 60, ..Rules::default() },
            keep_from: 16,
            temp_dir: (memory == Memory::LEAST).then(|| folder.path("runs")),
            memory,
            threads: 2,
            ..Plan::new(store, vec![Place::File(folder.path("a.pgn.zst"))])
        };
        let summary = build(&plan, &Progress::default(), &Stop::default());
        let runs = summary.expect("it can be built").runs;
        (tables(&folder), runs)
    };
    let (wanted, none) = built(Memory::new(2 << 30).expect("enough"));
    let (found, runs) = built(Memory::LEAST);
    assert!(none == 0 && runs > 0, "{none} and {runs} runs");
    assert!(found == wanted, "the store holds something else");
}

#[test]
fn the_order_of_files_does_not_show() {
    let part = |numbers: std::ops::Range<usize>| GAMES[numbers].concat().into_bytes();
    let files =
        [("a.pgn", part(0..100)), ("b.pgn", part(100..900)), ("c.pgn", part(900..GAMES.len()))];
    counts_the_same(&files, "build c.pgn a.pgn b.pgn");
    counts_the_same(&files, "build .");
}

#[test]
fn standard_input_is_a_dump_like_any_other() {
    let folder = Folder::new();
    folder.run_on(DUMP.as_bytes(), "build - --keep-from 2 --half-moves 60").ok();
    assert!(folder.run("export").answer() == WANTED[0]);
    assert_eq!(folder.run("about --format json").json()["sources"][0]["name"], "standard input");
}

#[test]
fn gzip_and_bzip2_are_told_by_their_content_and_may_have_several_parts() {
    let (first, second) = DUMP.as_bytes().split_at(DUMP.len() / 3);
    counts_the_same(&[("a", [gzip(first), gzip(second)].concat())], "build a");
    counts_the_same(&[("a.zst", [bzip2(first), bzip2(second)].concat())], "build a.zst");
}

/// Frames and skippable frames as RFC 8878 has them: a magic number from 0x184D2A50 on, the size,
/// and bytes to pass over.
#[test]
fn zstd_may_have_several_frames_and_skippable_ones_between() {
    let skippable = [&[0x5a, 0x2a, 0x4d, 0x18, 3, 0, 0, 0][..], b"[Ev"].concat();
    let (first, second) = DUMP.split_at(DUMP.len() / 3);
    let parts = [skippable.clone(), zstd_frame(first), skippable, zstd_frame(second)];
    counts_the_same(&[("a.pgn.zst", parts.concat())], "build a.pgn.zst");
}

#[test]
fn a_dump_of_few_games_is_the_same_on_many_threads() {
    let [one, many] = ["--threads 1", "--threads 8"].map(|threads| {
        Folder::built(GAMES[..3].concat(), &format!("--keep-from 1 {threads}"))
            .run("export --groups")
            .answer()
    });
    assert!(one == many && one.lines().count() > 50);
}
