//! Pages of a small hunt.

use shakmaty::Color;

use super::*;
use crate::answers::hunt::{Branch, Evaluations, Found, Hunt, Reach, Verdict};
use crate::answers::hunt::{HuntAnswer, Lack, Miss, ReachKind};
use crate::answers::trap::{Grounds, Witness};
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
    insta::assert_snapshot!(printed(|out| text(out, &answer, true)), @"
    Costly moves of Black from the initial position, for a student who plays White.
    Ratings and paces: players rated 1200 to 1999, all paces.
    Tested: 144 moves of Black, each played 50 times or more and by 5 % or more in a
    position reached 200 times or more, with 50 other moves or more; 1,234 positions
    walked.
    Of these 4 lose more than 5 % of a point a game beyond chance (at most 5 % of
    them expected to be false); 2 hidden: 1 because its player was already badly
    off, 1 because the loss is reported elsewhere in its chain.

    Best lower limit of net first (value, interval, count)

       costly move                     reach        played            drop
    ----------------------------------------------------------------------
    1  Philidor Defense, 5...          2.5 %        37.2 %         +41.0 %
       Bxd1                       [2.2, 2.8]  [31.9, 42.8]  [+33.0, +48.0]
                               303 of 12,345    120 of 323             120

       costly move               best reply     net per 1000
    --------------------------------------------------------
    1  Philidor Defense, 5...        66.7 %            +85.1
       Bxd1                    [57.5, 74.8]  [+52.6, +117.0]
                                  80 of 120               80

    1. Philidor Defense, 5... Bxd1 (C41)
    1. e4 e5 2. Nf3 d6 3. Bc4 Bg4 4. Nc3 g6 5. Nxe5 Bxd1?? 6. Bxf7+
    Black to move: rn1qkbnr/ppp2p1p/3p2p1/4N3/2B1P1b1/2N5/PPPP1PPP/R1BQK2R b KQkq -
        0 5

        8  r n . q k b n r
        7  p p p . . p . p
        6  . . . p . . p .
        5  . . . . N . . .
        4  . . B . P . b .
        3  . . N . . . . .
        2  P P P P . P P P
        1  R . B Q K . . R

           a b c d e f g h

    figure              value          interval          games
    ----------------------------------------------------------
    reach               2.5 %      [2.2, 2.8] %  303 of 12,345
      games as Black that come here
    costly move        37.2 %    [31.9, 42.8] %     120 of 323
      Black plays 5...Bxd1
    drop              +41.0 %  [+33.0, +48.0] %            120
      what 5...Bxd1 costs against the other moves
    best reply         66.7 %    [57.5, 74.8] %      80 of 120
      those who answer 6.Bxf7+
    edge, best reply  +49.0 %  [+44.0, +49.0] %             80
      with 6.Bxf7+, from games that did not choose it
    edge otherwise     -6.7 %   [-13.6, +0.5] %            203
      White's, when Black plays another move
    worth               +70.2    [+48.6, +92.6]             80
      points per 1000 games that go with knowing the
      refutation
    net                 +85.1   [+52.6, +117.0]             80
      points per 1000 games of laying it instead of the
      others; choices before the bait are not priced

    323 games in the position; p = 3.2e-14, q = 4.6e-12 among 144 tests. Evaluations
    agree: -4.80 pawns for Black after 5...Bxd1 (12 games), +0.20 after the other
    moves (34).
    Another costly move here: 5...dxe5 (19.8 [15.6, 24.9] % of 303 games), drop
    +20.0 [+11.0, +29.0] % over 60 games, q = 0.0120; best reply 6.Qxg4 (edge
    +30.0 [+20.0, +40.0] % over 55 games). Evaluations CONTRADICT this finding:
    -4.80 pawns for Black after 5...dxe5 (12 games), +0.20 after the other moves
    (34); look before you teach it.
    The figures above are those of the first of these moves alone. In the file of
    --pgn they are one trap, so trap and lesson count them together.
    Games here by pace: 323 blitz.
    Ratings with too few games at a move were put together there.
    Up to 8 games may be missing from a position of the line: rare positions were
    dropped.

    The promise of 5 % is about all moves that pass the test, not about those shown.
    The top ones probably look better than they are, and net, by which they are
    ordered, is not corrected for that: look again with other games.
    Reach is occurrence: the share of the opponents' games that come to the
    position, whatever is played against them. Net takes the student to play the
    line shown whenever the opponent allows it.
    Drop: the mover's edge with all other moves minus the edge with the costly move,
    in percent of a point a game. Edge: how much better a side scores than the
    ratings promise. p: chance of such a drop if the move lost no more than the null
    drop; q: p adjusted for all tests.
    The intervals of drops allow for the selection: each is one of 99.931 %, so that
    of all drops shown at most 5 % are expected to lie outside theirs. All other
    intervals [low, high] are 95 %.
    The best reply was chosen on other games than its edge is taken from: each band
    and pace is scored with the reply that all others chose.
    A better score goes with a move; it need not come from it: whoever knows a
    refutation may be stronger than the rating says.
    The store counts the first 30 half-moves of each game and keeps positions with 5
    games or more (an absent one may have had up to 4 games).
    Cut short, and counted as far as they could be read: harbour-2031-05.pgn.zst.
    ");
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
}

/// The slip is White's: the reply behind the comment is told with its number.
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
    let alone = printed(|out| text(out, &answer(vec![found()], None), false));
    assert!(!alone.contains(NOT_TO_LAY), "{alone}");
    let answer = answer(vec![found(), worse], None);
    let page = printed(|out| text(out, &answer, false));
    assert_eq!(page.matches(NOT_TO_LAY).count(), 2, "over the table and the findings: {page}");
    let said = "No trap to lay: unless Black errs, White is at -4.80 pawns. 5.Nxe5 is an error itself: it loses 3.50 pawns.";
    let flat = |text: String| text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert_eq!(flat(page).matches(said).count(), 1);
    assert_eq!(flat(printed(|out| pgn(out, &answer))).matches(said).count(), 1);
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
