//! Builds that are stopped, and two at once.

use std::io::Write;
use std::process::{Child, ChildStdin, Command};
use std::thread::sleep;
use std::time::{Duration, Instant};

use crate::kit::{Folder, Game, Run};

fn games(count: usize) -> String {
    Game::of("e4 e5 Nf3").times(count)
}

/// A build that has read `input` and waits for more, and its end of the pipe.
pub fn waiting_build(folder: &Folder, input: &str, options: &str) -> (Command, Child, ChildStdin) {
    let mut command = folder.listening(&["--default-signal=INT,TERM,HUP"]);
    command.args(["build", "-"]).args(options.split_whitespace());
    let mut child = command.spawn().expect("it starts");
    let mut stdin = child.stdin.take().expect("a pipe");
    stdin.write_all(input.as_bytes()).expect("it reads");
    wait_until(|| folder.files().iter().any(|file| file.contains("/mark")));
    (command, child, stdin)
}

/// The folder in which a build works, beside its store.
pub fn working_folder(folder: &Folder) -> Option<String> {
    let is_one = |file: &String| file.starts_with("deadfall-unfinished-") && file.ends_with('/');
    folder.files().into_iter().find(is_one)
}

#[track_caller]
pub fn wait_until(holds: impl Fn() -> bool) {
    let started = Instant::now();
    while !holds() {
        assert!(started.elapsed() < Duration::from_secs(60), "it never happens");
        sleep(Duration::from_millis(5));
    }
}

pub fn signal(name: &str, child: &Child) {
    let kill = Command::new("kill").args([name, &child.id().to_string()]).status();
    assert!(kill.expect("kill is at hand").success());
}

#[test]
fn ctrl_c_stops_a_build_and_leaves_the_store_as_it_was() {
    let folder = Folder::built(games(5), "--keep-from 1");
    let before = folder.read("deadfall.redb");
    let (command, child, stdin) = waiting_build(&folder, &games(9), "");
    signal("-INT", &child);
    let signalled = Instant::now();
    let output = child.wait_with_output().expect("it ends");
    assert!(signalled.elapsed() < Duration::from_secs(2), "it waits for a silent pipe");
    drop(stdin);
    let message = Run::ended(folder.root(), &command, output).refused(130);
    assert_eq!(message, "deadfall: stopped; the store is as it was");
    assert!(folder.read("deadfall.redb") == before);
    assert_eq!(folder.files(), ["deadfall.redb", "dump.pgn"]);
}

#[test]
fn builds_of_stores_of_one_name_may_share_a_folder_for_runs() {
    let folder = Folder::with("a.pgn", games(5));
    for name in ["elsewhere", "one", "two"] {
        std::fs::create_dir(folder.path(name)).expect("it can be made");
    }
    let runs = || {
        folder
            .files()
            .iter()
            .filter(|file| file.starts_with("elsewhere/") && file.ends_with('/'))
            .count()
            - 1
    };
    let options = "--store one/deadfall.redb --temp-dir elsewhere";
    let (_, mut first, stdin) = waiting_build(&folder, &games(9), options);
    wait_until(|| runs() == 1);
    folder.run("build a.pgn --store two/deadfall.redb --temp-dir elsewhere").ok();
    assert_eq!(runs(), 1, "the folder of the first build is gone");
    drop(stdin);
    assert!(first.wait().expect("it ends").success());
    assert_eq!(runs(), 0);
}

#[test]
fn a_second_build_of_the_same_store_is_refused() {
    let folder = Folder::with("a.pgn", games(5));
    let (_, mut first, stdin) = waiting_build(&folder, &games(9), "--keep-from 1");
    let message = folder.run("build a.pgn").refused(4);
    assert!(message.contains("another deadfall is writing deadfall.redb"), "{message}");
    drop(stdin);
    assert!(first.wait().expect("it ends").success());
    assert_eq!(folder.files(), ["a.pgn", "deadfall.redb"]);
    assert_eq!(folder.run("about --format json").json()["games_counted"], 9);
}
