//! Soundness by an engine: good ones, bad ones, and a real one where there is one.

use std::os::unix::fs::PermissionsExt;
use std::time::{Duration, Instant};

use crate::kit::{Folder, Game};
use crate::lesson::part;

const TRAP: &str = "1. e4 e5 2. Nf3 f6 3. Nxe5 fxe5?? 4. Qh5+";

/// What the engine sees after the best defence, the slip and the refutation, by a part of the FEN
/// that only that position has.
const DEFENDED: &str = "rnb1kbnr/ppppq1pp/5p2/4N3/4P3/8/PPPP1PPP/RNBQKB1R w";
const SLIPPED: &str = "rnbqkbnr/pppp2pp/8/4p3/4P3/8/PPPP1PPP/RNBQKB1R w";
const REFUTED: &str = "rnbqkbnr/pppp2pp/8/4p2Q/4P3/8/PPPP1PPP/RNB1KB1R b";

/// The body of an engine that answers the handshake and asks `go` what to say.
fn answering(go: &str) -> String {
    format!(
        "while read -r line; do case $line in\n\
         uci) echo 'id name Harbour 1.0'; echo 'option name Hash'; echo uciok;;\n\
         isready) echo readyok;;\n\
         position*) fen=$line;;\n\
         go*) {go};;\n\
         quit) exit 0;;\n\
         esac; done"
    )
}

/// Scores of the three positions from the mover's view.
fn good(defended: i32, slipped: i32, refuted: i32) -> String {
    answering(&format!(
        "case $fen in\n\
         *'{DEFENDED}'*) echo 'info depth 9 score cp {defended} nodes 100'; echo 'bestmove e5f3';;\n\
         *'{SLIPPED}'*) echo 'info score cp 7 nodes 9'; echo 'info score cp {slipped} nodes 200'; \
         echo 'bestmove d1h5';;\n\
         *'{REFUTED}'*) echo 'info score cp {refuted} nodes 300'; echo 'bestmove e8e7';;\n\
         *) echo 'info string hello'; echo 'info score cp -60 nodes 400'; echo 'bestmove d8e7';;\n\
         esac"
    ))
}

fn store() -> Folder {
    let games = Game::of("e4 e5 Nf3 f6 Nxe5 fxe5 Qh5+").times(60)
        + &Game::of("e4 e5 Nf3 f6 Nxe5 Qe7 Nf3").times(60);
    Folder::built(games, "--keep-from 1")
}

fn make_engine(folder: &Folder, body: &str) {
    folder.write("engine", format!("#!/bin/sh\n{body}\n"));
    let executable = std::fs::Permissions::from_mode(0o755);
    std::fs::set_permissions(folder.path("engine"), executable).expect("the file is ours");
}

/// The soundness of the trap by an engine with this body, and what is on standard error.
fn asked(body: &str, more: &[&str]) -> (serde_json::Value, String) {
    let folder = store();
    make_engine(&folder, body);
    let arguments = ["trap", TRAP, "--format", "json", "--engine", "./engine"];
    let run = folder.run_with(&[&arguments[..], more].concat());
    let stderr = run.stderr();
    let json = run.json();
    assert_eq!(json["traps"][0]["games"], 120, "the rest of the answer stands");
    (json["traps"][0]["soundness"].clone(), stderr)
}

#[test]
fn an_engine_judges_the_defence_the_slip_and_the_refutation() {
    let (soundness, stderr) = asked(&good(55, 420, -440), &["--engine-nodes", "1000"]);
    assert_eq!((&soundness["verdict"], stderr.as_str()), (&"sound".into(), ""));
    let engine = &soundness["sources"][1];
    assert_eq!((&engine["source"], &engine["name"]), (&"engine".into(), &"Harbour 1.0".into()));
    assert_eq!((&engine["best"], &engine["n"]), (&"Qe7".into(), &1000.into()));
    assert_eq!(
        (&engine["without_slip_cp"], &engine["after_slip_cp"]),
        (&55.0.into(), &420.0.into())
    );
    assert_eq!(engine["after_refutation_cp"], 440.0);
    assert_eq!(
        (&engine["slip_loses_cp"], &soundness["notes"]),
        (&365.0.into(), &serde_json::json!([]))
    );
}

#[test]
fn its_scores_decide_by_the_cutoffs() {
    let verdict =
        |defended, slipped| asked(&good(defended, slipped, -400), &[]).0["verdict"].clone();
    assert_eq!(verdict(-50, 100), "sound");
    assert_eq!(verdict(-51, 100), "gamble");
    assert_eq!(verdict(0, 149), "no_slip");
}

/// The engine is of no use for this reason: said on standard error and in the answer,
/// exit status 0.
#[track_caller]
fn useless(body: &str, more: &[&str], reason: &str) {
    let (soundness, stderr) = asked(body, more);
    let note = soundness["notes"][0].as_str().expect("a note").to_owned();
    assert!(note.contains(reason), "{note}");
    assert_eq!(stderr, format!("deadfall: {note}; the answer is without it\n"));
    assert_eq!(soundness["verdict"], "unknown");
    assert_eq!(soundness["sources"].as_array().map(Vec::len), Some(1));
}

#[test]
fn an_engine_that_dies_is_noted() {
    useless("exit 1", &[], "it ended when asked for 'uciok'");
    useless(&answering("exit 1"), &[], "it ended when asked for 'bestmove'");
}

#[test]
fn an_engine_that_hangs_is_given_up() {
    useless("exec sleep 60", &["--engine-timeout", "0.3"], "no 'uciok' within 0.3 s");
    useless(&answering("exec sleep 60"), &["--engine-timeout", "3"], "no 'bestmove' within 3 s");
    let chatter = answering("while :; do echo 'info string wait'; done");
    useless(&chatter, &["--engine-timeout", "3"], "no 'bestmove' within 3 s");
}

#[test]
fn an_engine_that_never_reads_is_given_up() {
    // It answers everything beforehand, and does not read a word of it.
    let deaf = "yes 'uciok\nreadyok\ninfo score cp 1 nodes 3\nbestmove d8e7' | sed 's/\\\\n/\\n/g'; exec sleep 60";
    let folder = store();
    make_engine(&folder, deaf);
    let trap = format!("[Event \"A\"]\n\n{TRAP} *\n\n");
    folder.write("traps.pgn", trap.repeat(400));
    let line = "exec timeout 60 \"$deadfall\" trap traps.pgn --format json --engine ./engine --engine-timeout 0.5";
    let run = folder.shell(line);
    run.check(run.status() == Some(0), "an answer without the engine");
    run.check(run.stderr().lines().count() <= 1, "one word about it");
}

#[test]
fn what_an_engine_has_started_ends_with_it() {
    let folder = store();
    let child = "sleep 1000 & echo $! >> numbers; ";
    for body in [
        format!("{child}exit 1"),
        format!("{child}{}", good(55, 420, -440)),
        format!("{child}exec sleep 60"),
    ] {
        make_engine(&folder, &body);
        let arguments =
            ["trap", TRAP, "--format", "json", "--engine", "./engine", "--engine-timeout", "2"];
        folder.run_with(&arguments).ok();
    }
    let numbers = folder.text("numbers");
    assert_eq!(numbers.lines().count(), 3);
    let runs = |number: &&str| {
        let stat = std::fs::read_to_string(format!("/proc/{number}/stat")).unwrap_or_default();
        let state = stat.rsplit(')').next().unwrap_or_default().trim().chars().next();
        !matches!(state, None | Some('Z' | 'X'))
    };
    // A process that was sent its end still needs a processor to come to it.
    let until = Instant::now() + Duration::from_secs(30);
    while numbers.lines().any(|number| runs(&number)) {
        assert!(Instant::now() < until, "{:?}", numbers.lines().find(runs));
        std::thread::sleep(Duration::from_millis(20));
    }
}

#[test]
fn counts_of_nodes_do_not_wrap_and_the_time_limit_names_its_bounds() {
    let many = "echo 'info score cp 5 nodes 18446744073709551615'; case $fen in *' w '*) echo 'bestmove e5f3';; \
                *'fxe5'*) ;; *) echo 'bestmove d8e7';; esac";
    let (soundness, _) = asked(&answering(many), &["--engine-timeout", "2"]);
    if let Some(engine) = soundness["sources"].get(1) {
        assert_eq!(engine["n"], u64::MAX);
    }
    let folder = store();
    for seconds in ["0", "-1", "0.001", "86401", "1e300", "nan", "inf"] {
        let option = format!("--engine-timeout={seconds}");
        let message = folder.run_with(&["trap", TRAP, "--engine", "./none", &option]).refused(2);
        assert!(message.contains("give 0.01 to 86400 seconds"), "{message}");
    }
}

#[test]
fn an_engine_that_talks_nonsense_is_noted() {
    useless("exec yes hello", &[], "its answer makes no sense: 'hello");
    // Too long an answer or too late a one, by what comes first.
    useless("exec cat /dev/zero", &["--engine-timeout", "0.5"], "'uciok'");
    useless(&answering("echo 'bestmove e2e4'"), &[], "the move 'e2e4' without a score");
    let illegal = "echo 'info score cp 3'; echo 'bestmove e2e4'";
    useless(&answering(illegal), &[], "the move 'e2e4', which is not legal");
}

#[test]
fn an_engine_that_is_missing_is_noted_and_every_trap_is_answered() {
    let folder = store();
    folder.write("traps.pgn", format!("[Event \"A\"]\n\n{TRAP} *\n\n[Event \"B\"]\n\n{TRAP} *\n"));
    let run = folder.run("trap traps.pgn --format json --engine ./none");
    assert_eq!(run.stderr().lines().count(), 1, "{run}");
    let json = run.json();
    for trap in json["traps"].as_array().expect("a list") {
        let note = trap["soundness"]["notes"][0].as_str().expect("a note");
        assert!(
            note.starts_with("the engine ./none is of no use: it cannot be started: "),
            "{note}"
        );
    }
    let text = folder.run("trap traps.pgn --each --engine ./none").ok().stdout();
    assert!(text.contains("The engine ./none is of no use"), "{text}");
    folder.run("trap traps.pgn --engine-nodes 5").refused(2);
    let far = folder.run("trap traps.pgn --engine ./none --engine-timeout 1e300").refused(2);
    assert!(far.contains("--engine-timeout 1e300: give 0.01 to 86400 seconds"), "{far}");
    folder.run("trap traps.pgn --engine ./none --engine-timeout 0").refused(2);
}

/// The page and the workings of a lesson say the same, by what the engine says.
#[test]
fn the_workings_of_a_lesson_know_what_the_engine_said() {
    let folder = store();
    make_engine(&folder, &good(55, 75, -60));
    let asked = ["lesson", TRAP, "--out", "out", "--engine", "./engine", "--explain"];
    for side in ["setter", "victim"] {
        folder.run_with(&[&asked[..], &["--side", side, "--overwrite"]].concat()).ok();
        let page = part(&folder, "lesson.html");
        assert!(page.contains("Skip it: the marked move does not lose (0.2 pawns)."), "{page}");
        let workings = part(&folder, "workings.txt");
        let workings = workings.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(workings.contains("Skip it: the marked move does not lose"), "{workings}");
    }
}

/// Common practice, no source: 3...fxe5 loses, and without it the knight is lost for a pawn or two
/// taken, which White is not worse with. The engine is Debian's package.
#[test]
#[ignore = "needs an engine: DEADFALL_ENGINE names it"]
fn a_real_engine_knows_that_the_slip_loses() {
    let Some(engine) = std::env::var_os("DEADFALL_ENGINE") else { return };
    let engine = engine.to_str().expect("the path is text").to_owned();
    let folder = store();
    let run = folder.run_with(&["trap", TRAP, "--format", "json", "--engine", &engine]);
    let json = run.json();
    let soundness = &json["traps"][0]["soundness"];
    assert_eq!(soundness["notes"], serde_json::json!([]));
    let judged = &soundness["sources"][1];
    assert!(judged["slip_loses_cp"].as_f64().expect("a number") > 100.0, "{judged}");
    assert!(judged["after_slip_cp"].as_f64().expect("a number") > 150.0, "{judged}");
    assert!(judged["n"].as_u64().expect("a number") >= 400_000, "{judged}");
}
