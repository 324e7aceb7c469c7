//! Outputs that cannot be written: standard error is dropped, an answer is an error, and the exit
//! status is that of the work.

use crate::kit::{Folder, Game, random_games};

fn folder() -> Folder {
    // Each of players of its own.
    let game = |round: usize| Game::of("e4 e5 Nf3 Nc6 Bc4 Nd4").tag("Round", &round.to_string());
    let games: String = (0..60).map(|round| game(round).to_string()).collect();
    let folder = Folder::built(games, "--keep-from 1");
    folder.write("traps.pgn", "1. e4 e5 2. Nf3 Nc6 3. Bc4 Nd4?? 4. Nxe5 *\n");
    folder.write("more.pgn", Game::of("d4 d5").times(3));
    folder.write("june.pgn", Game::of("e4 e5").tag("UTCDate", "2031.06.02").times(3));
    folder.run("build june.pgn --store june.redb --keep-from 1").ok();
    folder
}

/// Ways in which nobody can be told anything.
const DEAF: [&str; 3] = ["2>/dev/full", "2>&-", "2> >(exec true; sleep 0.1)"];

#[test]
fn notes_that_cannot_be_written_are_dropped() {
    let commands = [
        ("build more.pgn --store new.redb", 0),
        ("build more.pgn --store new.redb --progress bar", 0),
        ("build more.pgn --store new.redb --progress plain", 0),
        ("join deadfall.redb --store new.redb", 0),
        ("games e4 dump.pgn --out new.pgn", 0),
        ("games e4 dump.pgn", 0),
        ("lesson traps.pgn --out new", 0),
        ("map e4 --out new.svg", 0),
        ("gaps traps.pgn --as white --pgn new.pgn --map new.svg", 0),
        ("trap traps.pgn --over deadfall.redb --over june.redb --chart new.svg", 0),
        ("diagram traps.pgn --out new", 0),
        ("student dump.pgn --name x", 3),
        ("hunt --as white --pgn none.pgn", 0),
        ("trap traps.pgn --engine ./none", 0),
        ("moves Ke5", 3),
        ("moves --below 1", 2),
        ("moves --nonsense", 2),
        ("moves --store none.redb", 4),
        ("moves --expect 'd4 first'", 1),
        ("build nothing.pgn", 3),
    ];
    for deaf in DEAF {
        for (command, status) in commands {
            let folder = folder();
            let run = folder.shell(&format!("\"$deadfall\" {command} {deaf}")).exits(status);
            if let Some(store) = command.contains("new.redb").then_some("new.redb") {
                folder.run(&format!("about --verify --store {store}")).answer();
            }
            run.check(run.stderr().is_empty(), "nothing on standard error");
        }
    }
}

#[test]
fn an_answer_that_cannot_be_written_is_an_error_help_too() {
    let folder = folder();
    for command in [
        "--help",
        "-h",
        "--version",
        "help",
        "help trap",
        "moves --help",
        "moves",
        "export --totals",
        "export",
        "about --verify",
        "trap traps.pgn",
        "trap traps.pgn --format csv",
        "hunt --as white",
        "games e4 dump.pgn",
        "diagram e4",
        "map e4",
        "gaps traps.pgn --as white",
        "moves e4 --by rating",
        "trap traps.pgn --over deadfall.redb --over june.redb",
        "moves --expect 'd4 first'",
    ] {
        let message = folder.shell(&format!("\"$deadfall\" {command} >/dev/full")).refused(4);
        assert!(message.contains("cannot write the answer: no space left"), "{command}: {message}");
        // Closed from the start: the system has opened something else in its place.
        let run = folder.shell(&format!("\"$deadfall\" {command} >&-"));
        run.check(matches!(run.status(), Some(0 | 1 | 4)), "a status of its own");
        run.check(!run.stderr().contains("panicked"), "no panic");
    }
}

#[test]
fn a_closed_pipe_leaves_the_status_of_the_answer() {
    let folder = folder();
    folder.write("claims.txt", "start: d4 first\n");
    folder.write("long.pgn", random_games(5, 100, 60).concat());
    folder.run("build long.pgn --store long.redb --keep-from 1 --half-moves 60").ok();
    let export = "export --store long.redb";
    assert!(folder.run(export).answer().len() > 200_000, "it does not fit into a pipe");
    let line = format!("set -o pipefail; \"$deadfall\" {export} | head -1 >/dev/null");
    folder.shell(&line).answer();
    for (command, status) in [
        (export, 0),
        ("--help", 0),
        ("help build", 0),
        ("--version", 0),
        ("moves", 0),
        ("moves --expect 'e4 first'", 0),
        ("moves --expect 'd4 first'", 1),
        ("moves --expect 'd4 first' --format json", 1),
        ("moves --expect 'd4 first' --format csv", 1),
        ("moves --claims claims.txt", 1),
        ("moves --claims claims.txt --format json", 1),
    ] {
        // The reader has gone before anything is written.
        let line =
            format!("set -o pipefail; (sleep 0.2; exec \"$deadfall\" {command}) | exec true");
        let run = folder.shell(&line).exits(status);
        run.check(run.stderr().is_empty(), "nothing on standard error");
    }
}
