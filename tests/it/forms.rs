//! Dumps of unusual form: long windows, long comments, long games.

use std::io::Write;

use crate::kit::{Folder, Game};

fn games(count: usize) -> String {
    Game::of("e4 e5 Nf3").times(count)
}

/// A frame that asks for a window of 2 to the power of `log` bytes.
fn frame(text: &str, log: u32) -> Vec<u8> {
    let mut encoder = zstd::Encoder::new(Vec::new(), 1).expect("memory");
    encoder.window_log(log).expect("a window");
    encoder.write_all(text.as_bytes()).expect("memory");
    encoder.finish().expect("memory")
}

#[track_caller]
fn games_counted(folder: &Folder) -> u64 {
    let about = folder.run("about --format json").json();
    about["games_counted"].as_u64().expect("a number")
}

#[test]
fn a_long_window_within_the_memory_is_read() {
    let folder = Folder::with("dump.pgn.zst", frame(&games(5), 27));
    folder.run("build dump.pgn.zst --memory 256MiB").ok();
    assert_eq!(games_counted(&folder), 5);
}

#[test]
fn a_window_larger_than_the_memory_is_refused_and_named() {
    let folder = Folder::with("dump.pgn.zst", frame(&games(5), 29));
    let message = folder.run("build dump.pgn.zst --memory 256MiB").refused(3);
    assert_eq!(
        message,
        "deadfall: dump.pgn.zst needs a window of 512 MiB to decompress, --memory allows 152 MiB: give more"
    );
    assert_eq!(folder.files(), ["dump.pgn.zst"]);
    folder.run("build dump.pgn.zst --memory 1GiB").ok();
}

#[test]
fn a_later_frame_with_too_large_a_window_is_refused_as_well() {
    let folder =
        Folder::with("dump.pgn.zst", [frame(&games(5), 20), frame(&games(5), 29)].concat());
    let message = folder.run("build dump.pgn.zst --memory 256MiB").refused(3);
    assert!(
        message.contains("a window of 512 MiB to decompress, --memory allows 152"),
        "{message}"
    );
}

/// Three games, the middle one with a comment of so many bytes.
fn long_comment(bytes: usize, line_ends: bool) -> String {
    let word = if line_ends { "a quiet harbour\n" } else { "a quiet harbour " };
    let comment = format!(" {{ {}}} e5", word.repeat(bytes / word.len()));
    let long = Game::of("e4 e5 Nf3").to_string().replacen(" e5", &comment, 1);
    [games(1), long, games(1)].concat()
}

#[test]
fn a_comment_of_16_mb_is_stepped_over_and_one_of_40_mb_left_out_whatever_the_memory() {
    for (bytes, counted) in [(16_000_000, 3), (40_000_000, 2)] {
        for line_ends in [false, true] {
            let folder = Folder::with("dump.pgn.zst", frame(&long_comment(bytes, line_ends), 20));
            for memory in ["256MiB", "2GiB"] {
                let store = format!("{memory}.redb");
                folder.run(&format!("build dump.pgn.zst --memory {memory} --store {store}")).ok();
                let about = folder.run(&format!("about --format json --store {store}")).json();
                let games = (&about["games_read"], &about["games_counted"]);
                assert_eq!(games, (&3.into(), &counted.into()));
                assert_eq!(about["left_out"]["broken"], 3 - counted);
            }
        }
    }
}

#[test]
fn progress_can_be_asked_for_and_never_reaches_the_answer() {
    for how in ["--progress plain", "--progress bar", "--progress none", "--quiet"] {
        let folder = Folder::with("dump.pgn", games(5));
        let run = folder.run(&format!("build dump.pgn {how}")).ok();
        run.check(run.stdout().is_empty(), "nothing on standard output");
        run.check(run.stderr().starts_with("Read 5 games"), "the summary alone");
    }
    Folder::with("dump.pgn", games(5)).run("build dump.pgn --quiet --progress bar").refused(2);
}
