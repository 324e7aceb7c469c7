//! What `moves` prints, whole, on a small store.

use insta::assert_snapshot;

use crate::commands::{games, rounded, store};
use crate::kit::Folder;

#[test]
fn moves_as_csv() {
    assert_snapshot!(rounded(&store().run("moves --from 1200 --below 1400 --format csv").answer()), @r"
    rank,san,uci,games,wins,draws,losses,share,share_low,share_high,share_k,share_n,share_n_eff,score,score_low,score_high,score_n,score_n_eff,expected,edge,edge_low,edge_high,edge_n,edge_n_eff,clock_s,clock_s_low,clock_s_high,clock_s_n,clock_s_n_eff,eval_cp,eval_cp_low,eval_cp_high,eval_cp_n,eval_cp_n_eff,withheld
    1,e4,e2e4,90,20,30,40,1,0.9558,1,90,90,90,0.3889,0.3089,0.4762,90,90,0.5079,-0.1939,-0.2739,-0.1066,90,90,,,,0,0,,,,0,0,clock_s: no games; eval_cp: no games
    ");
}

#[test]
fn csv_has_a_row_for_each_claim_that_is_asked() {
    let store = store();
    let asked = ["moves", "--format", "csv", "--expect", "e4 first", "--expect", "d4 >= 99%"];
    let rows = store.run_with(&asked).exits(1).stdout();
    let rows: Vec<&str> = rows.lines().collect();
    assert!(rows[0].starts_with("number,line,claim,answer,"), "{rows:?}");
    assert_eq!(rows.len(), 3);
    assert!(
        rows[1].starts_with("1,,e4 first,") && rows[2].starts_with("2,,d4 >= 99%,fails,"),
        "{rows:?}"
    );
}

/// As in a file of claims.
#[test]
fn start_is_the_position_before_the_first_move() {
    let store = store();
    assert_eq!(store.run("moves start").answer(), store.run("moves").answer());
}

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
    assert_snapshot!(answer, @"
    1. h4
    rnbqkbnr/pppppppp/8/8/7P/8/PPPPPPP1/RNBQKBNR b KQkq - 0 1
    Black to move
    No games here by players of all ratings, all paces.

    Up to 2 games may be missing here: rare positions were dropped.
    The store counts the first 12 half-moves of each game and keeps positions with 3
    games or more (an absent one may have had up to 2 games).
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

/// 90 games of Black rated 1200 to 1399, see `commands`; all within 80 columns.
#[test]
fn moves_by_rating_and_by_pace_as_tables() {
    let folder = store();
    for arguments in [
        &["--by", "rating"][..],
        &["--by", "pace", "--score"],
        &["--by", "rating", "--min-sample", "1"],
    ] {
        let line = [&["moves", "1. e4 e5 2. Nf3 Nc6 3. Bc4 Nd4"][..], arguments].concat();
        let page = folder.run_with(&line).answer();
        assert!(page.lines().all(|line| line.chars().count() <= 80), "{page}");
        assert_snapshot!(page);
    }
    folder.run("moves e4 --score").refused(2);
    folder.run("moves e4 --by colour").refused(2);
}

/// Every game of a position is in one column, and the columns add up to the table.
#[test]
fn columns_add_up() {
    let folder = store();
    for by in ["rating", "pace"] {
        let answer = folder.run(&format!("moves e4 --by {by} --format json")).json();
        for row in answer["moves"].as_array().expect("moves") {
            let across = row["across"].as_array().expect("columns");
            let sum = |of: &dyn Fn(&serde_json::Value) -> u64| across.iter().map(of).sum::<u64>();
            assert_eq!(sum(&|cell| cell["share"]["k"].as_u64().expect("k")), row["games"]);
            assert_eq!(sum(&|cell| cell["n"].as_u64().expect("n")), answer["games"]);
            assert_eq!(sum(&|cell| cell["score"]["n"].as_u64().expect("n")), row["games"]);
        }
    }
}
