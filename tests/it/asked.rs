//! Claims, lines and files of traps as they may be asked.

use insta::assert_snapshot;

use crate::commands::{TRAP, games, store};
use crate::kit::Folder;

#[test]
fn claims_decide_the_exit_status() {
    let folder = store();
    let rows = [
        ("e4 first", 0, "holds"),
        ("e4 >= 80%", 0, "holds"),
        ("d4 first", 1, "fails"),
        ("d4 >= 40%", 1, "fails"),
        ("d4 >= 6%", 0, "undecided"),
    ];
    for (claim, status, answer) in rows {
        let run = folder.run_with(&["moves", "--format", "json", "--expect", claim]).exits(status);
        let json: serde_json::Value = serde_json::from_str(&run.stdout()).expect("JSON");
        assert_eq!(json["claims"][0]["answer"], answer, "{claim}");
        run.check(run.stderr().is_empty(), "nothing on standard error");
    }
}

#[test]
fn of_several_claims_one_that_fails_decides() {
    let two = ["moves", "--expect", "e4 first", "--expect", "d4 first"];
    let run = store().run_with(&two).exits(1);
    assert_eq!(run.stdout().matches("holds").count(), 1, "{run}");
    assert_eq!(run.stdout().matches("fails").count(), 1, "{run}");
}

#[test]
fn a_position_without_games_says_how_far_the_store_reaches() {
    let folder = Folder::built(games(), "--keep-from 3 --half-moves 12");
    let answer = folder.run_with(&["moves", "1. h4"]).answer();
    assert_snapshot!(answer, @r"
    1. h4
    rnbqkbnr/pppppppp/8/8/7P/8/PPPPPPP1/RNBQKBNR b KQkq - 0 1
    Black to move
    No games here by movers of all ratings, all paces.

    Up to 2 games may be missing here: rare positions were dropped.
    The store counts the first 12 half-moves of each game and keeps positions with 3 games or more (an absent one may have
    had up to 2 games).
    ");
    assert_eq!(folder.run("moves h4 --format json").json()["games"], 0);
    assert_eq!(folder.run("moves h4 --format csv").answer().lines().count(), 1);
}

#[test]
fn a_line_in_san_uci_or_as_a_fen_is_the_same_position() {
    let folder = store();
    let fen = "r1bqkbnr/pppp1ppp/2n5/4p3/2B1P3/5N2/PPPP1PPP/RNBQK2R b KQkq - 3 3";
    let written = [
        vec!["1. e4 e5 2. Nf3 Nc6 3. Bc4"],
        vec!["e4 e5 Nf3 Nc6 Bc4"],
        vec!["e2e4 e7e5 g1f3 b8c6 f1c4"],
        vec![
            "Nf3 Nc6 Bc4",
            "--fen",
            "rnbqkbnr/pppp1ppp/8/4p3/4P3/8/PPPP1PPP/RNBQKBNR w KQkq - 0 2",
        ],
        vec!["--fen", fen],
    ];
    let answers = written.map(|line| {
        let arguments = [&["moves", "--format", "csv"][..], &line].concat();
        folder.run_with(&arguments).answer()
    });
    assert!(answers.iter().all(|answer| answer == &answers[0]), "{answers:?}");
    assert_eq!(answers[0].lines().count(), 3);
}

#[test]
fn traps_from_a_file_bear_the_names_of_their_games() {
    let folder = store();
    folder.write(
        "traps.pgn",
        format!(
            "[Event \"Shilling\"]\n\n{TRAP} *\n\n[Event \"Fool\"]\n\n1. f3 e5 2. g4?? Qh4# *\n"
        ),
    );
    let json = folder.run("trap traps.pgn --format json").json();
    assert_eq!(
        (&json["traps"][0]["name"], &json["traps"][1]["name"]),
        (&"Shilling".into(), &"Fool".into())
    );
    assert_eq!(json["traps"][1]["games"], 0);
}

#[test]
fn many_traps_are_answered_in_the_order_asked_and_as_alone() {
    let folder = store();
    let game = |number: usize| format!("[Event \"Trap {number}\"]\n\n{TRAP} *\n\n");
    folder.write("traps.pgn", (0..50).map(game).collect::<String>());
    folder.write("one.pgn", game(0));
    let all = folder.run("trap traps.pgn --format json").json();
    let mut one = folder.run("trap one.pgn --format json").json()["traps"][0].clone();
    let traps = all["traps"].as_array().expect("a list");
    assert_eq!(traps.len(), 50);
    for (number, trap) in traps.iter().enumerate() {
        one["name"] = format!("Trap {number}").into();
        assert_eq!(trap, &one);
    }
}
