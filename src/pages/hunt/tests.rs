//! Pages of a small hunt.

use shakmaty::Color;

use super::*;
use crate::answers::hunt::{Branch, Evaluations, Found, Hunt, Reach, Verdict};
use crate::answers::hunt::{HuntAnswer, Lack, Miss, ReachKind};
use crate::answers::trap::{Grounds, SoundnessCode, Witness};
use crate::answers::{Question, Sampling};
use crate::lines::{Line, Trap};
use crate::pages::kit::{mean, printed, trap_answer, trap_report};

fn evaluations(verdict: Verdict) -> Evaluations {
    Evaluations {
        slip_cp: Some(-480.0),
        slip_games: 12,
        others_cp: Some(20.0),
        others_games: 34,
        verdict,
    }
}

fn found() -> Found {
    let branch = Branch {
        slip: "dxe5".into(),
        slip_rate: Sampling::from(50).share(60, 303),
        drop: mean(0.2, 0.11, 0.29, 60),
        p: 0.0004,
        q: 0.012,
        refutation: "Qxg4".into(),
        edge_refuted: mean(0.3, 0.2, 0.4, 55),
        evaluations: evaluations(Verdict::Contradict),
    };
    let mut trap = trap_report();
    trap.name = "Philidor Defense, 5... Bxd1".into();
    let laid = Trap::from_text(&trap.line).remove(0).expect("a trap");
    Found {
        trap,
        laid,
        to_lay: true,
        reach: Reach { kind: ReachKind::Occurrence, rate: Sampling::from(50).share(303, 12_345) },
        drop: mean(0.41, 0.33, 0.48, 120),
        p: 3.2e-14,
        q: 4.6e-12,
        evaluations: evaluations(Verdict::Agree),
        branches: vec![branch],
    }
}

fn answer(found: Vec<Found>, detectable: Option<f64>) -> HuntAnswer {
    let like = trap_answer(Vec::new());
    HuntAnswer {
        setter: Color::White,
        start: String::new(),
        filter: like.filter,
        reach: ReachKind::Occurrence,
        tests: 144,
        significant: 4,
        hidden: 2,
        hidden_by: HiddenBy { not_in_order: 1, told_elsewhere: 1, ..HiddenBy::default() },
        interval_level: (!found.is_empty()).then_some(1.0 - 0.05 * 2.0 / 144.0),
        found,
        settings: Hunt::new(Color::White, Line::default()).settings(&Question::default()),
        misses: Vec::new(),
        covered: None,
        positions: 1234,
        detectable,
        games: 12_345,
        limits: like.limits,
    }
}

#[test]
fn a_finding_is_printed_with_its_counts_its_evidence_and_its_branches() {
    let answer = answer(vec![found()], Some(0.06));
    insta::assert_snapshot!(printed(|out| text(out, &answer, true)));
}

#[test]
fn nothing_found_says_why() {
    let page = printed(|out| text(out, &answer(Vec::new(), Some(0.06)), false));
    assert!(
        page.contains("Nothing found: every move that loses is hidden by the rules named above.")
    );
    let page = printed(|out| text(out, &answer(Vec::new(), None), false));
    assert!(page.contains(
        "Nothing found: the store is too small for this hunt: among 12,345 games of Black"
    ));
    let page = printed(|out| text(out, &answer(Vec::new(), Some(0.234)), false));
    assert!(page.contains("lose some 23.4 % of a point"), "{page}");
    let near = "none of the tested moves loses more than 5 % of a point beyond what chance";
    let flat = |page: &str| page.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(flat(&page).contains(near), "{page}");
    let untested = HuntAnswer { tests: 0, ..answer(Vec::new(), None) };
    let page = printed(|out| text(out, &untested, false));
    assert!(!page.contains("comes near"), "{page}");
}

#[test]
fn findings_as_pgn_are_traps_with_their_branches() {
    let pgn = printed(|out| pgn(out, &answer(vec![found()], None)));
    let traps: Vec<Trap> =
        Trap::read_all(&pgn).into_iter().map(|trap| trap.expect("a trap")).collect();
    let names: Vec<&str> = traps.iter().map(Trap::name).collect();
    assert_eq!(names, ["Philidor Defense, 5... Bxd1"]);
    let slips: Vec<String> = traps[0].slips().iter().map(|slip| slip.san()).collect();
    assert_eq!(slips, ["Bxd1", "dxe5"]);
    assert!(pgn.lines().all(|line| line.len() <= 80 || line.starts_with('[')));
    assert!(!pgn.contains('{') && pgn.contains("[Evidence2 \"5...dxe5 is a costly move"), "{pgn}");
}

#[test]
fn a_trap_of_black_is_read_back_as_well() {
    let mut found = found();
    found.branches.clear();
    found.trap.setter = Color::Black;
    found.trap.name = "The \"Shilling\" trap".into();
    found.trap.line = "1. e4 e5 2. Nf3 Nc6 3. Bc4 Nd4 4. Nxe5 Qg5 5. Nxf7?? Qxg2".into();
    found.trap.trap_fen = "r1b1kbnr/pppp1ppp/8/4N1q1/2BnP3/8/PPPP1PPP/RNBQK2R w KQkq - 1 5".into();
    let pgn = printed(|out| pgn(out, &answer(vec![found], None)));
    let trap = Trap::read_all(&pgn).remove(0).expect("a trap");
    assert_eq!((trap.name(), trap.setter()), ("The \"Shilling\" trap", Color::Black));
}

#[test]
fn what_is_no_trap_to_lay_stands_in_a_part_of_its_own() {
    let mut worse = Found { to_lay: false, ..found() };
    worse.trap.soundness.without_slip = Some(Grounds { cp: -480.0, by: Witness::Evals });
    worse.trap.soundness.bait_loses_cp = Some(350.0);
    worse.trap.soundness.bait_evals = Some(7);
    let alone = printed(|out| text(out, &answer(vec![found()], None), false));
    assert!(!alone.contains(NOT_TO_LAY), "{alone}");
    let answer = answer(vec![found(), worse], None);
    let page = printed(|out| text(out, &answer, false));
    assert_eq!(page.matches(NOT_TO_LAY).count(), 2, "over the table and the findings: {page}");
    let said = "No trap to lay: unless Black errs, White is at -4.80 pawns. 5.Nxe5 is an error itself: it loses 3.50 pawns (7 evaluations).";
    let flat = |text: String| text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert_eq!(flat(page).matches(said).count(), 1);
    assert_eq!(flat(printed(|out| pgn(out, &answer))).matches(said).count(), 1);
}

#[test]
fn of_a_sound_trap_that_scores_less_nobody_says_that_its_setter_stands_worse() {
    let mut less = Found { to_lay: false, ..found() };
    less.trap.figures.net = mean(-9.0, -12.0, -6.0, 120);
    less.trap.soundness.verdict = SoundnessCode::Sound;
    less.trap.soundness.without_slip = Some(Grounds { cp: 130.0, by: Witness::Evals });
    assert!(less.trap.is_not_to_lay());
    let page = printed(|out| pgn(out, &answer(vec![less], None)));
    let said = page.split_whitespace().collect::<Vec<_>>().join(" ");
    let want =
        "No trap to lay: White scores less with it than with the other moves, slips included.";
    assert!(said.contains(want) && !said.contains("errs"), "{page}");
}

#[test]
fn every_row_of_the_table_is_as_wide_as_its_head() {
    let page = printed(|out| csv(out, &answer(vec![found()], None)));
    let widths: Vec<usize> = csv_rows(&page).iter().map(Vec::len).collect();
    assert_eq!(widths, vec![widths[0]; 3]);
    let rows = csv_rows(&page);
    let at = |name: &str| rows[0].iter().position(|head| head == name).expect("a column");
    assert_eq!((rows[1][at("scope")].as_str(), rows[1][at("drop")].as_str()), ("trap", "0.41"));
    assert_eq!((rows[2][at("slip")].as_str(), rows[2][at("drop")].as_str()), ("dxe5", "0.2"));
    assert_eq!((rows[2][at("q")].as_str(), rows[2][at("edge_refuted")].as_str()), ("0.012", "0.3"));
    assert_eq!(rows[2][at("eval_verdict")], "contradict");
}

/// Where nothing is found the near misses are there with what they lack.
#[test]
fn the_csv_has_the_misses() {
    let miss = Miss {
        line: "1. e4 e5 2. Qh5".into(),
        fen: "rnbqkbnr/pppp1ppp/8/4p3/4P3/8/PPPP1PPP/RNBQKBNR w KQkq - 0 2".into(),
        slip: "Qh5".into(),
        games: 60,
        n: 300,
        drop: found().drop,
        p: Some(0.25),
        q: None,
        lacks: vec![
            Lack::Certain { q: 0.5, needed: 0.05 },
            Lack::Drop { value: 0.02, needed: 0.1 },
        ],
    };
    let rows = csv_rows(&printed(|out| {
        csv(out, &HuntAnswer { misses: vec![miss], ..answer(vec![], None) })
    }));
    let at = |name: &str| {
        let place = rows[0].iter().position(|head| head == name).expect("a column");
        rows[1][place].as_str()
    };
    assert_eq!((rows.len(), rows[0].len()), (2, rows[1].len()));
    let told =
        ["scope", "line", "slip", "games", "slip_games", "p", "q", "lacks", "find_rate"].map(at);
    assert_eq!(
        told,
        ["miss", "1. e4 e5 2. Qh5", "Qh5", "300", "60", "0.25", "", "certain; drop", ""]
    );
    assert!(!at("drop").is_empty());
}

fn csv_rows(page: &str) -> Vec<Vec<String>> {
    let mut reader =
        ::csv::ReaderBuilder::new().has_headers(false).flexible(true).from_reader(page.as_bytes());
    let rows = reader.records().map(|row| row.expect("a row"));
    rows.map(|row| row.iter().map(str::to_owned).collect()).collect()
}

#[test]
fn a_level_has_two_digits_of_what_it_misses() {
    let levels = [0.95, 1.0 - 0.05 * 2.0 / 144.0, 1.0 - 2.5e-4, 1.0 - 1e-6];
    assert_eq!(levels.map(level), ["95 %", "99.931 %", "99.975 %", "99.9999 %"]);
}
