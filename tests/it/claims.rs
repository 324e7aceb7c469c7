//! Claims, one by one and from a file, on small dumps and on what everybody says.

use std::path::Path;

use crate::kit::{Folder, Game, Run, real_dump};

/// 1. e4 in 62 games, answered by e5 in 37 and by c5 in 25; 1. d4 in 38.
fn store() -> Folder {
    let game = |moves: &str, count: usize| Game::of(moves).times(count);
    let games = game("e4 e5 Nf3", 37) + &game("e4 c5 Nf3", 25) + &game("d4 d5 c4", 38);
    Folder::built(games, "--keep-from 1")
}

fn sample(name: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("data-samples").join(name);
    path.to_str().expect("the path is text").to_owned()
}

/// The line of its text and the answer of each claim.
fn answers(report: &serde_json::Value) -> Vec<(String, String, String)> {
    let text = |value: &serde_json::Value| value.as_str().expect("text").to_owned();
    let claims = report["claims"].as_array().expect("a list").iter();
    claims.map(|row| (text(&row["line"]), text(&row["claim"]), text(&row["answer"]))).collect()
}

#[test]
fn several_claims_are_answered_at_once_and_one_that_fails_is_exit_1() {
    let folder = store();
    let ask = |claims: &[&str]| {
        let mut arguments = vec!["moves", "--format", "json"];
        claims.iter().for_each(|claim| arguments.extend(["--expect", claim]));
        folder.run_with(&arguments)
    };
    ask(&["e4 first", "e4 > d4", "d4 second", "d4 <= 60%", "e4 score >= 80%", "e4 edge about 0%"])
        .ok();
    ask(&["e4 first", "d4 first"]).exits(1);
}

#[test]
fn an_undecided_claim_is_exit_0_and_with_strict_exit_1() {
    let folder = store();
    let run = |more: &[&str]| {
        folder
            .run_with(&[&["moves", "e4", "--expect", "e5 > c5", "--format", "json"], more].concat())
    };
    let json = run(&[]).json();
    assert_eq!(json["claims"][0]["answer"], "undecided");
    // (37 - 25) f / sqrt(62 f) reaches 2.04 at f = 1.79: 111 games, but for rounding to
    // whole games.
    let games = json["claims"][0]["games_to_decide"].as_u64().expect("a number");
    assert!((105..=125).contains(&games), "{games}");
    run(&["--strict"]).exits(1);
}

/// Wilson at 62 of 100 with Student's quantile: 0.518 to 0.712, all within 11 points of 0.62.
#[test]
fn about_is_as_near_as_asked() {
    let folder = store();
    let answer = |about: &str| {
        let run = folder.run_with(&[
            "moves",
            "--expect",
            "e4 about 62%",
            "--about",
            about,
            "--format",
            "json",
        ]);
        run.json()["claims"][0]["answer"].clone()
    };
    assert_eq!((answer("5"), answer("11")), ("undecided".into(), "holds".into()));
    folder.run_with(&["moves", "--expect", "e4 about 62%", "--about", "-1"]).refused(2);
}

#[test]
fn a_file_of_claims_is_judged_line_by_line() {
    let folder = store();
    folder.write("claims.txt", "# said\nstart: e4 first; d4 first\ne4  e5 > c5\n");
    let run = folder.run("moves --claims claims.txt").exits(1);
    insta::assert_snapshot!(run.stdout());
    let fine = folder.run_on(b"start: e4 first\ne4: e5 > c5\n", "moves --claims -").ok();
    fine.check(fine.stdout().contains("0 failed, 1 undecided, 1 held"), "the counts");
    folder.run_on(b"e4: e5 > c5\n", "moves --claims - --strict").exits(1);
    let csv = folder.run("moves --claims claims.txt --format csv").exits(1).stdout();
    assert_eq!(
        csv.lines().nth(1).map(|row| row.starts_with("2,,e4 first,holds,100,100,,")),
        Some(true)
    );
}

#[test]
fn a_file_that_is_no_list_of_claims_is_bad_input() {
    let folder = store();
    let refused = |text: &str, status: i32| {
        folder.write("claims.txt", text);
        folder.run("moves --claims claims.txt").refused(status)
    };
    assert_eq!(
        refused("e4 e5\n", 3),
        "deadfall: claims.txt, line 1: no claim: write a line of moves, a colon and the claim, as \
         in '1. e4: c5 first'"
    );
    assert!(
        refused("\ne4 Ke3: e5 first\n", 3).starts_with("deadfall: claims.txt, line 2: no legal")
    );
    assert!(refused("# no\n", 3).starts_with("deadfall: claims.txt: no claim in it: write one"));
    let missing = folder.run("moves --claims none.txt").refused(3);
    assert!(missing.starts_with("deadfall: cannot read none.txt: "));
    folder.run("moves e4 --claims claims.txt").refused(2);
}

fn judged(dump: impl AsRef<[u8]>, options: &str) -> Vec<(String, String, String)> {
    let folder = Folder::built(dump, options);
    let claims = sample("claims.txt");
    let run: Run = folder.run_with(&["moves", "--claims", &claims, "--format", "json"]);
    answers(&run.json())
}

const CENTRE: &str = "1. e4 d5 2. exd5 Qxd5 3. Nc3";

fn of<'a>(answers: &'a [(String, String, String)], line: &str, claim: &str) -> &'a str {
    let found = answers.iter().find(|row| row.0 == line && row.1 == claim);
    &found.unwrap_or_else(|| panic!("{line}: {claim}")).2
}

/// Common practice, no source. The league was invented after it, so most of it holds there; one
/// claim is about moves that are nearly equally popular.
#[test]
fn common_practice_holds_in_the_invented_month() {
    let month = std::fs::read(sample("harbour-league-2031-05.pgn.zst")).expect("the sample");
    let answers = judged(month, "--quiet");
    let undecided: Vec<_> = answers.iter().filter(|row| row.2 != "holds").collect();
    assert_eq!(undecided.len(), 1, "{undecided:?}");
    assert_eq!(of(&answers, CENTRE, "Qd8 second"), "undecided");
}

/// 428 games that were really played: ten of them come to the position that says least.
#[test]
fn what_few_real_games_cannot_tell_is_undecided_and_nothing_fails() {
    let Some(dump) = real_dump() else { return };
    let answers = judged(dump, "--keep-from 1");
    assert!(answers.iter().all(|row| row.2 != "fails"), "{answers:?}");
    assert_eq!(of(&answers, "", "e4 first"), "holds");
    assert_eq!(of(&answers, "1. e4", "e5 first"), "holds");
    assert_eq!(of(&answers, CENTRE, "Qa5 first"), "undecided");
    assert_eq!(of(&answers, CENTRE, "Qd8 second"), "undecided");
}
