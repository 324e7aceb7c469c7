//! Slips of the pen on the command line: each is answered in words that say what to do.

use std::fs;

use crate::kit::{Folder, Game};

fn games(count: usize) -> String {
    Game::of("e4 e5 Nf3 Nc6 Bc4 Nd4").times(count)
}

fn built() -> Folder {
    Folder::built(games(60), "--keep-from 1")
}

/// The command is refused with this status; what it says holds all the words.
#[track_caller]
fn says(folder: &Folder, arguments: &[&str], status: i32, words: &[&str]) {
    let run = folder.run_with(arguments).exits(status);
    words.iter().for_each(|word| run.check(run.stderr().contains(word), word));
}

#[test]
fn a_file_in_a_folder_that_holds_no_rated_game_is_named() {
    let folder = Folder::new();
    fs::create_dir(folder.path("dumps")).expect("it can be made");
    folder.write("dumps/may.pgn", games(5));
    folder.write("dumps/traps.pgn", "[Event \"A trap\"]\n\n1. e4 e5?? 2. Nf3 *\n");
    let run = folder.run("build dumps").ok();
    run.check(run.stderr().contains("Nothing to count in traps.pgn: 1 game, all left out."), "it");
}

#[test]
fn a_file_of_traps_that_is_not_there_is_no_line_of_moves() {
    let folder = built();
    for name in ["nothere.txt", "nothere.pgn", "no/where"] {
        let message = folder.run(&format!("trap {name}")).refused(3);
        assert_eq!(message, format!("deadfall: cannot read {name}: no such file or directory"));
    }
    says(&folder, &["trap", "a.pgn", "b.pgn"], 2, &["one file of traps"]);
}

#[test]
fn a_file_that_is_there_is_written_over_only_when_told_so() {
    let folder = built();
    let trap = "1. e4 e5 2. Nf3 Nc6 3. Bc4?? Nd4 *\n";
    folder.write("traps.pgn", trap);
    folder.run("lesson traps.pgn --out out").ok();
    for (command, file) in [
        ("games e4 dump.pgn --out", "traps.pgn"),
        ("hunt --as white --pgn", "traps.pgn"),
        ("lesson traps.pgn --out", "out"),
    ] {
        let message = folder.run(&format!("{command} {file}")).refused(4);
        assert!(message.contains("already exists: choose another name, or add --overwrite"));
        folder.run(&format!("{command} {file} --overwrite")).ok();
        folder.write("traps.pgn", trap);
    }
    folder.run("games e4 dump.pgn --out traps.pgn --overwrite").ok();
    assert_ne!(folder.read("traps.pgn"), trap.as_bytes());
}

#[test]
fn ratings_and_numbers_that_are_none_are_asked_for_in_plain_words() {
    let folder = built();
    says(&folder, &["moves", "--below", "0"], 2, &["--below 0: no rating is below 0"]);
    says(&folder, &["moves", "--from", "4000"], 2, &["--from 4000: ratings end below 4000"]);
    says(&folder, &["moves", "--below", "two"], 2, &["'--below <RATING>': give a rating"]);
    says(&folder, &["moves", "--min-sample", "x"], 2, &["give a whole number"]);
    says(&folder, &["moves", "--about", "x"], 2, &["'--about <N>': give a number"]);
}

#[test]
fn paces_may_be_written_with_blanks_and_capitals() {
    let folder = built();
    let answer = folder.run_with(&["moves", "--pace", "Blitz, rapid", "--format", "json"]).json();
    assert_eq!(answer["filter"]["pace"], serde_json::json!(["blitz", "rapid"]));
}

#[test]
fn a_line_needs_no_quotes_unless_something_follows_it() {
    let folder = built();
    let quoted = folder.run_with(&["moves", "1. e4 e5 2. Nf3"]).answer();
    assert_eq!(folder.run("moves 1. e4 e5 2. Nf3").answer(), quoted);
    folder.run("diagram 1. e4 e5").answer();
    folder.run("hunt --as white 1. e4 e5").ok();
    folder.run("trap 1. e4 e5 2. Nf3?? Nc6 --below 2000").ok();
    says(&folder, &["games", "1.", "e4", "dump.pgn"], 3, &["cannot open e4", "needs quotes"]);
}

#[test]
fn a_store_in_a_missing_folder_names_the_folder() {
    let folder = built();
    for command in ["build dump.pgn", "join deadfall.redb", "moves", "about"] {
        let message = folder.run(&format!("{command} --store none/x.redb")).refused(4);
        assert!(message.contains("there is no folder") && message.contains("none"), "{message}");
    }
}

/// Before any work is done for it.
#[test]
fn a_file_to_be_written_has_no_folder_s_name() {
    let folder = built();
    for name in ["none/", "none/.", "none//", ".."] {
        for command in
            ["build missing.pgn --store", "join missing.redb --store", "games e4 - --out"]
        {
            let said = folder.run(&format!("{command} {name}")).refused(4);
            assert!(
                said.contains(&format!("cannot make {name}: that is the name of a folder")),
                "{said}"
            );
        }
    }
}

#[test]
fn help_helps_with_itself_and_every_command() {
    let folder = Folder::new();
    assert!(folder.run("help --help").answer().contains("Usage: deadfall help"));
    assert_eq!(folder.run("help").answer(), folder.run("--help").answer());
    assert_eq!(folder.run("help trap").answer(), folder.run("trap --help").answer());
    says(&folder, &["help", "tarp"], 2, &["'tarp'"]);
}
