//! Writes that fail part way, as on a full disk: the program may write files up to a limit only.

use crate::kit::{Folder, Game, greedy, random_games};

/// A dump that makes a store of 600 kB.
fn varied_dump() -> String {
    random_games(17, 700, 60).concat()
}

/// A build of `dump.pgn` in a folder with a store, by a program that may write `kilobytes` to each
/// file; its message. The store stays as it was and nothing is left behind.
#[track_caller]
fn runs_full(dump: &[u8], kilobytes: u32, options: &str) -> String {
    let folder = Folder::with("first.pgn", Game::of("e4 e5 Nf3").times(9));
    std::fs::create_dir(folder.path("elsewhere")).expect("it can be made");
    folder.run("build first.pgn --keep-from 1").ok();
    let (store, export) = (folder.read("deadfall.redb"), folder.run("export").answer());
    folder.write("dump.pgn", dump);
    let build = format!("\"$deadfall\" build dump.pgn {options}");
    let message = folder.shell(&format!("trap '' XFSZ; ulimit -f {kilobytes}; {build}")).refused(4);
    assert!(folder.read("deadfall.redb") == store && folder.run("export").answer() == export);
    assert_eq!(folder.files(), ["deadfall.redb", "dump.pgn", "elsewhere/", "first.pgn"]);
    folder.run("about --verify").answer();
    message
}

#[test]
fn a_disk_that_is_full_while_runs_are_written_ends_the_build() {
    let dump = greedy(&varied_dump().repeat(20));
    for (options, place) in [("", "/run-"), ("--temp-dir elsewhere", "elsewhere/")] {
        let options = format!("--memory 256MiB --threads 1 {options}");
        let message = runs_full(&dump, 1, &options);
        assert!(message.starts_with("deadfall: cannot write "), "{message}");
        assert!(message.contains(place) && message.contains("file too large"), "{message}");
    }
}

#[test]
fn a_disk_that_is_full_while_the_store_is_written_ends_the_build() {
    let dump = varied_dump();
    // At its start, in the middle, and shortly before its end.
    for kilobytes in [20, 300, 580] {
        let message = runs_full(dump.as_bytes(), kilobytes, "--keep-from 1");
        assert!(message.contains("cannot write the store"), "{kilobytes}: {message}");
        assert!(message.contains(": file too large (make room"), "{kilobytes}: {message}");
    }
}

#[test]
fn a_first_build_on_a_full_disk_leaves_nothing() {
    let folder = Folder::with("dump.pgn", varied_dump());
    let line = "trap '' XFSZ; ulimit -f 300; \"$deadfall\" build dump.pgn --keep-from 1";
    let message = folder.shell(line).refused(4);
    assert!(message.contains("make room"), "{message}");
    assert_eq!(folder.files(), ["dump.pgn"]);
}
