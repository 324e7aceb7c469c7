//! What cannot be meant is refused in words that help, and what found nothing says why.

use crate::commands::{TRAP, store};
use crate::kit::{Folder, Game, dump};

/// A negative number is a wrong number and no option, whatever the option.
#[test]
fn negative_numbers_are_told_as_numbers() {
    let folder = store();
    for (command, words) in [
        ("moves e4 --from -100", "give a rating"),
        ("hunt --as white --null-drop -1", "give a number from 0 to 1"),
        ("hunt --as white --top -1", "give a whole number such as 20"),
        ("gaps traps.pgn --as white --met -1/200", "give a number from 0 to 1"),
        ("build x.pgn --max-gap -1", "-1 is not in 0.."),
        ("moves e4 --min-sample -5", "give a whole number such as 20"),
        ("build x.pgn --memory -2G", "'-2G'"),
    ] {
        let message = folder.run(command).refused(2);
        assert!(message.contains(words), "{command}: {message}");
        assert!(!message.contains("unexpected argument"), "{command}: {message}");
    }
    // What follows is an option still.
    let message = folder.run("moves e4 --from 1200 --quietly").refused(2);
    assert!(message.contains("unexpected argument '--quietly'"), "{message}");
}

#[test]
fn moves_after_a_wrong_sign_are_not_passed_over() {
    let folder = store();
    for line in ["e4; e5", "1. e4; 1... e5", "e4 ;e5", "1. e4 e5; 2. Nf3"] {
        let message = folder.run_with(&["moves", line]).refused(3);
        assert!(message.contains("no legal move ';"), "{line}: {message}");
    }
    let marked = TRAP.replacen("e5", "e5;", 1);
    assert!(folder.run_with(&["trap", &marked]).refused(3).contains("no legal move ';"));
    // A remark is one still.
    folder.run_with(&["moves", "1. e4 e5 ; the usual way"]).ok();
}

#[test]
fn boards_are_refused_where_no_sheet_is_shown() {
    let folder = store();
    let two = format!("[Event \"A\"]\n\n{TRAP} *\n\n[Event \"B\"]\n\n1. f3 e5 2. g4?? Qh4# *\n");
    folder.write("two.pgn", two);
    folder.write("one.pgn", format!("{TRAP} *\n"));
    for side in ["setter", "victim"] {
        let asked = format!("--board ascii --side {side}");
        let message = folder.run(&format!("trap two.pgn {asked}")).refused(2);
        assert!(message.contains("add --each"), "{message}");
        folder.run(&format!("trap two.pgn --each {asked}")).ok();
        folder.run(&format!("trap one.pgn {asked}")).ok();
    }
}

/// The hint names the command, also where the names of students are at fault.
#[test]
fn the_hint_is_the_help_of_the_command() {
    let message = store().run("student own.pgn --name A --also A").refused(2);
    assert!(message.contains("'deadfall student --help'"), "{message}");
}

/// One game of a league, one casual one, and one without ratings.
fn three() -> Folder {
    let game = |event: &str| Game::of("e4 e5 Nf3").tag("Event", event);
    let casual = "Harbour League casual blitz";
    let games = [game(casual), game(casual), Game::of("e4 e5").without("WhiteElo")];
    Folder::with("dump.pgn", dump(&games))
}

#[test]
fn games_that_finds_nothing_says_what_was_left_out() {
    let folder = three();
    let note = folder.run("games e4 dump.pgn").ok().stderr();
    assert!(note.contains("Found 0 games among 3 games read."), "{note}");
    let why = "Left out 3 games, as in a build: 2 casual or unrated; 1 a rating is missing";
    assert!(note.contains(why), "{note}");
}

#[test]
fn a_line_behind_what_is_looked_at_is_refused() {
    let folder = three();
    let ask = |line: &str, half_moves: &str| {
        folder.run_with(&["games", line, "dump.pgn", "--half-moves", half_moves])
    };
    let message = ask("e4 e5", "1").refused(2);
    assert!(message.contains("add --half-moves 2 or more"), "{message}");
    ask("e4 e5", "2").ok();
    let message = folder.run_with(&["games", TRAP, "dump.pgn", "--half-moves", "4"]).refused(2);
    assert!(message.contains("only the first 4 half-moves"), "{message}");
}

/// As a hunt does: nothing found leaves the file of the last time.
#[test]
fn games_that_finds_nothing_empties_no_file() {
    let folder = three();
    folder.write("kept.pgn", "of last month");
    let run = folder.run("games e4 dump.pgn --out kept.pgn --overwrite").ok();
    assert!(run.stderr().contains("nothing found, kept.pgn is not written"), "{}", run.stderr());
    assert_eq!(folder.text("kept.pgn"), "of last month");
    folder.run("games e4 dump.pgn --out new.pgn").ok();
    assert_eq!(folder.files(), ["dump.pgn", "kept.pgn"]);
}
