//! What the commands print, whole, on a small store.

use insta::assert_snapshot;

use crate::kit::{Folder, Game, dump};

/// A trap laid 90 times, and some other games.
pub fn games() -> String {
    let game = |moves: &str| Game::of(moves).opening("C50", "Italian Game");
    let laid = "e4 e5 Nf3 Nc6 Bc4 Nd4";
    let slip = game(&format!("{laid} Nxe5 Qg5 Nxf7 Qxg2")).ratings(1250, 1310).result("0-1");
    let missed = game(&format!("{laid} Nxe5 Qe7 Nf3")).ratings(1290, 1220);
    let answered = game(&format!("{laid} Nxd4 exd4 O-O")).ratings(1380, 1330).result("1/2-1/2");
    let usual = game("e4 e5 Nf3 Nc6 Bc4 Bc5 c3 Nf6").ratings(1420, 1360);
    let timed = Game::of("d4 d5 c4 e6")
        .ratings(1500, 1550)
        .tag("TimeControl", "900+10")
        .clocks("0:15:00 0:15:00 0:15:04 0:14:58.5")
        .evals("0.2 0.31 0.25 0.4");
    let left_out = dump(&[
        Game::of("e4 e5").result("*"),
        Game::of("e4 e5").without("WhiteElo"),
        Game::of("e4 Ke7"),
    ]);
    let counted = [(slip, 40), (missed, 20), (answered, 30), (usual, 60), (timed, 10)];
    counted.iter().map(|(game, count)| game.times(*count)).collect::<String>() + &left_out
}

pub fn store() -> Folder {
    Folder::built(games(), "--keep-from 1")
}

/// The text without its times, speeds and file sizes.
fn masked(text: &str) -> String {
    let is_unit = |word: &str| {
        let unit = word.trim_end_matches(|letter: char| !letter.is_ascii_alphabetic());
        matches!(unit, "s" | "games/s" | "MB/s" | "kB" | "MB")
    };
    let masked_line = |line: &str| {
        let mut words: Vec<&str> = line.split(' ').collect();
        for place in 1..words.len() {
            if is_unit(words[place]) {
                words[place - 1] = if words[place - 1].starts_with('(') { "(N" } else { "N" };
            }
        }
        words.join(" ")
    };
    text.lines().map(masked_line).collect::<Vec<_>>().join("\n")
}

/// The text with its decimals cut to four, which is as far as two machines must agree.
pub fn rounded(text: &str) -> String {
    let is_part = |letter: char| letter.is_ascii_digit() || letter == '.';
    let number = |word: &str| match word.split_once('.') {
        Some((whole, decimals)) if !whole.is_empty() && decimals.len() > 4 => {
            format!("{:.4}", word.parse::<f64>().expect("a number"))
        }
        _ => word.to_owned(),
    };
    let (mut rounded, mut word) = (String::new(), String::new());
    for letter in text.chars().chain(['\n']) {
        if is_part(letter) {
            word.push(letter);
        } else {
            rounded += &number(&std::mem::take(&mut word));
            rounded.push(letter);
        }
    }
    rounded.trim_end().to_owned()
}

pub const TRAP: &str = "1. e4 e5 2. Nf3 Nc6 3. Bc4 Nd4 4. Nxe5?? Qg5";

#[test]
fn build_says_what_it_read_left_out_and_kept() {
    let folder = Folder::with("dump.pgn", games());
    let run = folder.run("build dump.pgn --keep-from 11").ok();
    run.check(run.stdout().is_empty(), "nothing on standard output");
    assert_snapshot!(masked(&run.stderr()));
}

#[test]
fn a_trap_as_a_table() {
    assert_snapshot!(store().run_with(&["trap", TRAP]).answer());
}

#[test]
fn a_trap_as_csv() {
    let csv = store().run_with(&["trap", TRAP, "--min-sample", "5", "--format", "csv"]).answer();
    assert_snapshot!(rounded(&csv));
}

#[test]
fn about_as_csv() {
    assert_snapshot!(store().run("about --format csv").answer(), @"
    name,hash,games_read,games_counted,variant,no_result,no_rating,computer,not_played_out,unrated,outside_dates,other_pace,rating_gap,broken,no_moves,illegal_move,nameless_sides,first,last,complete,undated
    dump.pgn,ae8eef95257b9c97acb7769a54ad2f34,163,160,0,1,1,0,0,0,0,0,0,0,0,1,0,2031-05-17,2031-05-17,true,0
    ");
}

#[test]
fn about_verify_says_that_all_is_sound() {
    let answer = store().run("about --verify").answer();
    assert_snapshot!(answer.lines().last().unwrap_or_default(), @"Checked 18 positions and 31 cells: all sound.");
}

#[test]
fn the_store_is_found_by_option_and_by_environment() {
    let folder = Folder::with("dump.pgn", games());
    folder.run("build dump.pgn --store one.redb").ok();
    let by_option = folder.run("moves --store one.redb").answer();
    let by_environment = folder.shell("DEADFALL_STORE=one.redb \"$deadfall\" moves").answer();
    assert_eq!(by_option, by_environment);
    folder.run("moves").refused(4);
    let said = folder.shell("DEADFALL_STORE= \"$deadfall\" moves").refused(4);
    assert!(said.contains("deadfall.redb"), "{said}");
    folder.shell("DEADFALL_STORE= \"$deadfall\" help figures").ok();
}

#[test]
fn help_and_version_are_answers() {
    let folder = Folder::new();
    assert!(folder.run("--help").answer().contains("130  stopped by a signal"));
    assert_eq!(
        folder.run("--version").answer(),
        concat!("deadfall ", env!("CARGO_PKG_VERSION"), "\n")
    );
    for command in ["build", "moves", "trap", "about", "export"] {
        assert!(folder.run(&format!("{command} --help")).answer().contains("Usage: deadfall"));
    }
}

#[test]
fn a_wrong_command_is_a_usage_error() {
    let folder = Folder::new();
    for (typed, words) in [
        ("frobnicate", "'frobnicate'; 'deadfall --help' tells more"),
        ("mvoes e4", "a similar subcommand exists: 'moves'"),
        ("moves e4 --formt json", "a similar argument exists: '--format'"),
        ("hunt --as whit", "[possible values: white, black]; a similar value exists: 'white'"),
        ("hunt", "not provided: --as <COLOUR>; 'deadfall hunt --help' tells more"),
        ("moves e4 --claims x", "cannot be used with"),
        ("moves --from x", "'x' for '--from <RATING>'"),
        ("trap e4 --ahead 99999", "99999 is not in"),
        (
            "trap e4?? --engine e --engine-timeout x",
            "'x' for '--engine-timeout <S>': give a number",
        ),
    ] {
        let message = folder.run(typed).refused(2);
        assert!(message.contains(words), "{typed}: {message}");
    }
}

#[test]
fn nothing_is_coloured_in_a_pipe() {
    let folder = store();
    for command in ["moves", "about", "export", "moves --format json", "--help"] {
        assert!(!folder.run(command).answer().contains('\u{1b}'), "{command}");
    }
    let refused = folder.run("moves e5").refused(3);
    assert!(!refused.contains('\u{1b}'));
}
