//! What is shown to somebody who watches: on a pseudo terminal, as `script` of
//! util-linux makes one.

use std::num::NonZero;

use crate::kit::{Folder, random_games};

/// What a command shows on a terminal of 100 columns, what is wiped out again included.
#[track_caller]
fn shown(folder: &Folder, command: &str) -> String {
    let inside = format!("stty cols 100; \"$deadfall\" {command}");
    folder.shell(&format!("script -qec '{inside}' /dev/null </dev/null")).ok().stdout()
}

/// What is left on the terminal: its lines when all was drawn and wiped out again.
fn left(shown: &str) -> Vec<String> {
    let size = |cells| NonZero::new(cells).expect("a size");
    let mut terminal = vt100::Parser::new(size(24), size(100), 0);
    terminal.process(shown.as_bytes());
    let lines: Vec<String> = terminal.screen().rows(0, 100).collect();
    lines.into_iter().filter(|line| !line.is_empty()).collect()
}

fn dump() -> Folder {
    Folder::with("dump.pgn", random_games(5, 800, 60).concat())
}

#[test]
fn a_terminal_shows_a_bar_that_is_gone_at_the_end() {
    let folder = dump();
    let shown = shown(&folder, "build dump.pgn --keep-from 1");
    assert!(shown.contains("reading [") && shown.contains("% of "), "{shown}");
    let left = left(&shown);
    assert!(left[0].starts_with("Read 800 games in "), "{left:?}");
    assert!(left.iter().all(|line| !line.contains('[')), "{left:?}");
}

#[test]
fn of_a_pipe_the_terminal_shows_how_much_was_read() {
    let folder = dump();
    let feed = "(cat dump.pgn; sleep 0.5)";
    let build = "script -qec 'stty cols 100; \"$deadfall\" build - < feed' /dev/null </dev/null";
    let line = format!("mkfifo feed; {feed} > feed & {build}; wait");
    let shown = folder.shell(&line).ok().stdout();
    assert!(shown.contains("reading ") && shown.contains(" games/s, "), "{shown}");
    assert!(!shown.contains("% of "), "{shown}");
}

#[test]
fn a_hunt_shows_how_far_it_has_walked() {
    let folder = dump();
    folder.run("build dump.pgn --keep-from 1").ok();
    assert!(shown(&folder, "hunt --as white").contains("walking ["));
    assert!(!shown(&folder, "hunt --as white --quiet").contains("walking"));
}

#[test]
fn without_a_terminal_or_a_wish_for_it_nothing_is_shown() {
    for option in ["--quiet", "--progress none"] {
        let shown = shown(&dump(), &format!("build dump.pgn {option}"));
        assert!(shown.starts_with("Read 800 games in "), "{option}: {shown}");
    }
    let run = dump().run("build dump.pgn").ok();
    run.check(run.stderr().starts_with("Read 800 games in "), "no progress in a pipe");
}

#[test]
#[ignore = "slow: waits ten seconds for a line"]
fn plain_progress_is_a_line_every_ten_seconds() {
    let folder = dump();
    let run =
        folder.shell("(cat dump.pgn; sleep 12) | \"$deadfall\" build - --progress plain").ok();
    let first = run.stderr().lines().next().map(str::to_owned).unwrap_or_default();
    run.check(first.starts_with("reading: ") && first.contains(" games, "), "a line of progress");
    run.check(!run.stderr().contains(['\r', '\u{1b}']), "nothing that moves");
}
