//! Letters that steer a terminal, in everything that others can name: none gets there.

use std::fs;

use crate::kit::{Folder, Game, Run};

/// Escape sequences in seven and eight bits, marks that turn the direction of writing, separators
/// of lines and paragraphs, a bell, a carriage return; no slash, no quote.
const EVIL: &str =
    "x\u{1b}[31m\u{9b}1m\u{1b}]0;t\u{7}\u{202e}\u{2066}\u{200f}\u{61c}\u{2028}\u{2029}\u{7f}\r";

fn steers(letter: char) -> bool {
    letter.is_control() && !matches!(letter, '\n' | '\t')
        || matches!(letter, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

#[track_caller]
fn harmless(run: Run) -> Run {
    for text in [run.stdout(), run.stderr()] {
        let found: Vec<_> = text.chars().filter(|letter| steers(*letter)).collect();
        run.check(found.is_empty(), &format!("nothing that steers, such as {found:?}"));
    }
    run.check(!run.stderr().contains("panicked"), "no panic");
    run
}

/// A folder whose dump, store, traps and players have that name.
fn folder() -> (Folder, String) {
    let (dump, store) = (format!("{EVIL}.pgn"), format!("{EVIL}.redb"));
    let game = Game::of("e4 e5 Nf3 Nc6 Bc4 Nd4 Nxe5 Qg5").tag("White", EVIL.trim_end_matches('\r'));
    let game = game.opening("C40", EVIL.trim_end_matches('\r'));
    let folder = Folder::with(&dump, game.times(60));
    let built = ["build", &dump, "--store", &store, "--keep-from", "1"];
    harmless(folder.run_with(&built)).ok();
    let trap = format!(
        "[Event \"{EVIL}\"]\n\n1. e4 e5 {{{EVIL}}} 2. Nf3 Nc6 3. Bc4 Nd4 4. Nxe5?? Qg5 *\n"
    );
    folder.write("traps.pgn", trap);
    (folder, store)
}

#[test]
fn answers_hold_nothing_that_steers() {
    let (folder, store) = folder();
    let dump = format!("{EVIL}.pgn");
    for arguments in [
        &["about"][..],
        &["about", "--verify"],
        &["about", "--format", "json"],
        &["moves", "e4", "e5"],
        &["moves", "--format", "json"],
        &["trap", "traps.pgn"],
        &["trap", "traps.pgn", "--each"],
        &["trap", "traps.pgn", "--format", "json"],
        &["hunt", "--as", "black", "--reached", "50"],
        &["hunt", "--as", "black", "--reached", "50", "--format", "json"],
        &["games", "e4", &dump],
        &["diagram", "e4"],
        &["map", "--traps", "traps.pgn"],
    ] {
        harmless(folder.run_with(&[arguments, &["--store", &store]].concat())).ok();
    }
    // The students' names, their events and their traps.
    let name = EVIL.trim_end_matches('\r');
    let own = Game::of("e4 e5 Nf3 Nc6 Bc4 Nd4 Nxe5 Qg5").tag("White", name).tag("Event", name);
    let other = format!("y{name}");
    let own = own.tag("Black", &other);
    folder.write("own.pgn", own.times(5));
    let student = ["student", "own.pgn", "--name", name, "--traps", "traps.pgn", "--store", &store];
    for more in
        [&[][..], &["--format", "json"], &["--name", &other, "--also", "x"], &["--out", "page"]]
    {
        harmless(folder.run_with(&[&student[..], more].concat())).ok();
    }
    let page = folder.text("page/student.html");
    assert!(!page.chars().any(steers));
    let about = folder.run_with(&["about", "--format", "json", "--store", &store]).json();
    assert_eq!(about["sources"][0]["name"], dump, "JSON keeps the name");
    harmless(folder.run_with(&["lesson", "traps.pgn", "--out", EVIL, "--store", &store])).ok();
    for name in ["lesson.html", "handout.html", "lesson.pgn", "cards.csv"] {
        let text = folder.text(&format!("{EVIL}/{name}"));
        // Lines of CSV end as RFC 4180 has it.
        assert!(!text.replace("\r\n", "\n").chars().any(steers), "{name}");
    }
}

/// Data for programs are as they are, unless a terminal would see them.
#[test]
fn data_keep_their_letters_but_not_on_a_terminal() {
    let (folder, store) = folder();
    let csv = folder.run_with(&["about", "--format", "csv", "--store", &store]).answer();
    assert!(csv.contains(EVIL), "{csv:?}");
    let names = folder.run_with(&["export", "--names", "--store", &store]).answer();
    assert!(names.contains(&EVIL[..5]), "{names:?}");
    fs::rename(folder.path(&store), folder.path("deadfall.redb")).expect("it is ours");
    for command in ["about --format csv", "export --names", "about", "games e4 *.pgn"] {
        let line = format!("script -qec '\"$deadfall\" {command}' /dev/null | tr -d '\\r'");
        let run = folder.shell(&line);
        if run.stderr().contains("script: ") {
            return; // There is no such program here.
        }
        harmless(run);
    }
}

#[test]
fn messages_hold_nothing_that_steers_and_stay_on_one_line() {
    let (folder, store) = folder();
    let dump = format!("{EVIL}.pgn");
    let lines = format!("a\nb{EVIL}");
    for (status, arguments) in [
        (3, &["build", EVIL][..]),
        (3, &["build", &lines]),
        (4, &["moves", "--store", EVIL]),
        (4, &["about", "--store", &lines]),
        (4, &["build", "traps.pgn", "--store", &format!("{EVIL}/no/store")]),
        (4, &["build", "traps.pgn", "--temp-dir", EVIL]),
        (4, &["join", EVIL, "--store", "new.redb"]),
        (3, &["moves", EVIL]),
        (3, &["moves", &format!("1. e4 {{{EVIL}}} {EVIL}")]),
        (3, &["moves", &format!("1. e4 7{EVIL}")]),
        (3, &["moves", "--fen", EVIL]),
        (3, &["moves", "--expect", EVIL, "--store", &store]),
        (3, &["moves", "--expect", &format!("e4 {EVIL}"), "--store", &store]),
        (3, &["moves", "--claims", EVIL]),
        (3, &["trap", &format!("{EVIL}.pgn.none")]),
        (3, &["trap", &format!("1. e4 {EVIL}??")]),
        (3, &["lesson", EVIL, "--out", "new", "--store", &store]),
        (3, &["hunt", "--as", "white", "--repertoire", &lines]),
        (3, &["gaps", &lines, "--as", "white"]),
        (3, &["games", EVIL, "traps.pgn"]),
        (3, &["games", "e4", EVIL]),
        (3, &["diagram", EVIL]),
        (3, &["map", EVIL, "--store", &store]),
        (3, &["map", "--traps", EVIL, "--store", &store]),
        (4, &["map", "--out", &format!("{EVIL}/no/map.svg"), "--store", &store]),
        (3, &["student", EVIL, "--name", "x", "--store", &store]),
        (3, &["student", &dump, "--name", &format!("{EVIL}{EVIL}"), "--store", &store]),
    ] {
        harmless(folder.run_with(arguments)).refused(status);
    }
    for content in [
        format!("[Setter \"{EVIL}\"]\n\n1. e4 e5?? 2. d4"),
        format!("[{EVIL}]\n\n1. e4 e5?? 2. d4"),
        format!("[Event \"{EVIL}\"]\n\n1. e4 {EVIL}?? 2. d4"),
        format!("[Variant \"{EVIL}\"]\n\n1. e4 e5?? 2. d4"),
    ] {
        folder.write("bad.pgn", content);
        harmless(folder.run("trap bad.pgn")).refused(3);
        harmless(folder.run("hunt --as white --repertoire bad.pgn"));
        folder.write("bad.txt", format!("e4: {EVIL} first"));
        harmless(folder.run("moves --claims bad.txt")).refused(3);
    }
    for wrong in [&["moves", "--below", EVIL][..], &["--no", EVIL], &[EVIL], &["help", EVIL]] {
        harmless(folder.run_with(wrong)).exits(2);
    }
    let engine = ["trap", "traps.pgn", "--store", &store, "--engine", EVIL];
    harmless(folder.run_with(&engine)).ok();
}
