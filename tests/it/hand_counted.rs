//! Forty games in which every figure of `trap --explain` is worked out by hand.
//!
//! White is always rated 1300 and lays 1. e4 e5 2. Nf3 f6 3. Nxe5 fxe5?? 4. Qh5+; all games are
//! blitz. Results are White's wins, draws, losses.
//!
//! | games | moves | Black 1200 | Black 1300 |
//! | --- | --- | --- | --- |
//! | slip, refuted | 1. e4 e5 2. Nf3 f6 3. Nxe5 fxe5 4. Qh5+ | 6: 5 1 0 | 3: 2 0 1 |
//! | the same after 1. e4 f6 2. Nf3 e5 | | 2: 2 0 0 | |
//! | slip, missed | 4. Nc3, 4. d4 | 2: 0 1 1 | 1: 1 0 0 |
//! | no slip | 3... Qe7 | 4: 1 1 2 | 5: 2 1 2 |
//! | no bait | 3. Bc4, 3. d4 | 2: 1 1 0 | 3: 1 1 1 |
//! | elsewhere | 2... Nc6 | 4: 2 0 2 | 6: 2 2 2 |
//! | elsewhere | 1... c5 | | 2: 1 0 1 |
//! | all | | 20: 11 4 5 | 20: 9 4 7 |
//!
//! Expected (the published formula, see `terms::expected`): 1300 against 1200 0.640, equals 0.500.
//! Scores: Black 1200 5 + 4/2 = 7 of 20, Black 1300 7 + 4/2 = 9 of 20, White 20 + 8/2 = 24 of 40,
//! expected 7.2, 10 and 22.8. Ordinary is level + slope x expected: in Python from these sums, the
//! slope is 0.839689 (0.84 with 0.05^2 against least squares), and the levels, each a twenty-sixth
//! of the way from that of all games of the colour, are below.
//!
//! No player comes twice, but 40 players share 32 groups. The design effects and all intervals were
//! worked out in Python with SciPy from what `export --groups` writes.

use serde_json::Value;

use crate::kit::{Folder, golden, near};

const TRAP: &str = "1. e4 e5 2. Nf3 f6 3. Nxe5 fxe5?? 4. Qh5+";

fn answer(options: &[&str]) -> Value {
    let folder = Folder::built(golden("hand-counted.pgn"), "--keep-from 1");
    let mut arguments = vec!["trap", TRAP, "--format", "json"];
    arguments.extend(options);
    folder.run_with(&arguments).json()["traps"][0].clone()
}

/// After the slip, refuted, without the slip, of the others, of all replies.
const EDGES: [f64; 5] = [
    0.160668321439979,
    0.2369189969822798,
    -0.149062157410365,
    0.011755641327796718,
    0.16052362572614953,
];

#[test]
fn every_figure_is_the_one_worked_out_by_hand() {
    let trap = answer(&["--explain", "--min-sample", "1"]);
    let s: f64 = 0.65;
    let p = 14.0 / 23.0;
    let [after, refuted, held, usual, replies] = EDGES;
    let figures = [
        // Slips 6 + 2 + 2 + 3 + 1 = 14 and 4 + 5 = 9 others, of 40 games as Black.
        ("occurrence", 23.0 / 40.0),
        // Both bands have fewer than 50 games: 1...e5 36 of 40, 2...f6 26 of 36.
        ("steered", s),
        // 1...e5 36/40 and 2...f6 26/36, or 1...f6 2/40 and 2...e5 2/2: 0.65 + 0.05.
        ("steered_any_order", 0.7),
        ("slip_rate", p),
        // Replies by White 1300: 6 + 2 + 3 of 14.
        ("find_rate", 11.0 / 14.0),
        // Wins 5 + 2 + 2 + 1 = 10, draws 1 + 1, losses 1 + 1: 11 of 14.
        ("score_after_slip", 11.0 / 14.0),
        // 11 of 14 where 10 games expect 0.64 and 4 expect 0.5.
        ("edge_after_slip", after),
        // 9 wins, a draw, a loss: 9.5 of 11 where 8 expect 0.64.
        ("edge_refuted", refuted),
        // 3 wins, 2 draws, 4 losses: 4 of 9 where 4 expect 0.64.
        ("edge_no_slip", held),
        // 2 wins, 2 draws, a loss: 3 of 5 where 2 expect 0.64.
        ("usual.edge", usual),
        ("slips_per_1000", 1000.0 * s * p),
        // 14 slips in 40 games as Black.
        ("own_slips_per_1000", 350.0),
        ("worth_per_1000", 1000.0 * s * p * (refuted - replies)),
        ("price", usual - held),
        ("net_per_1000", 1000.0 * s * (p * refuted + (1.0 - p) * held - usual)),
        ("ahead.expected", 50.0 * s * p),
        ("ahead.at_least_one", 1.0 - (1.0 - s * p).powi(50)),
        // 2, 4, 6, 2, 4, 6 s on the slip; 8, 10, 12, 10 s on 3... Qe7.
        ("time.slip_s", 4.0),
        ("time.others_s", 10.0),
        ("time.difference_s", -6.0),
    ];
    let folder = Folder::built(golden("hand-counted.pgn"), "--keep-from 1");
    let page = folder.run_with(&["trap", TRAP, "--explain", "--min-sample", "1"]).answer();
    let page = page.split("\nFigures\n").nth(1).expect("the formulas").replace("\n    ", " ");
    for (figure, want) in figures {
        let place = format!("/{}/value", figure.replace('.', "/"));
        near(trap.pointer(&place).unwrap_or_else(|| panic!("{figure}")), want);
        let line = page.lines().find(|line| line.starts_with(&format!("{figure} = ")));
        let line = line.unwrap_or_else(|| panic!("{figure} is not explained\n{page}"));
        assert!(line.contains(&format!(" = {want:.5} (")), "{line}");
    }
    let lines = page.lines().filter(|line| line.contains(" = ")).count();
    assert_eq!(lines, figures.len(), "every figure was worked out\n{page}");
}

/// Formulas with the sums that are counted by hand below, and where each interval comes from.
#[test]
fn every_formula_is_written_with_its_sums() {
    let folder = Folder::built(golden("hand-counted.pgn"), "--keep-from 1");
    let page = folder.run_with(&["trap", TRAP, "--explain", "--min-sample", "1"]).answer();
    let page = page.split("\nFigures\n\n").nth(1).expect("the formulas").replace("\n    ", " ");
    let formulas = page.split("\n\n").next().expect("a paragraph");
    insta::assert_snapshot!(formulas);
}

/// The sums in the order of the line: needed move and others at each choice, slip, others,
/// refutation, others, usual, totals.
#[test]
fn the_cells_behind_the_figures_are_those_counted_by_hand() {
    let trap = answer(&["--explain", "--min-sample", "1"]);
    let sums = trap["explain"]["sums"].as_array().expect("sums");
    let row = |sum: &Value| {
        let number = |name: &str| sum[name].as_u64().expect("a number");
        ["games", "wins", "draws", "losses", "expected_milli"].map(number)
    };
    let rows: Vec<[u64; 5]> = sums.iter().map(row).collect();
    let want = [
        // Black's 1... e5: all but 1... f6 and 1... c5. Expected 18 x 360 + 18 x 500.
        [36, 11, 8, 17, 15_480],
        [4, 1, 0, 3, 2 * 360 + 2 * 500],
        // 2... f6: 14 and 12; 2... Nc6: 4 and 6.
        [26, 7, 6, 13, 14 * 360 + 12 * 500],
        [10, 4, 2, 4, 4 * 360 + 6 * 500],
        [14, 2, 2, 10, 10 * 360 + 4 * 500],
        [9, 4, 2, 3, 4 * 360 + 5 * 500],
        [11, 9, 1, 1, 6620],
        [3, 1, 1, 1, 2 * 640 + 500],
        [5, 2, 2, 1, 2780],
        [40, 12, 8, 20, 20 * 360 + 20 * 500],
    ];
    assert_eq!(rows, want);
    let ordinary = |index: usize| sums[index]["ordinary"].clone();
    // Ten games of 1200 expect 0.36, four of 1300 0.5; eleven games of White expect 6.62.
    let slope = 0.8396886662712041 - 1.0;
    let [white, of_1200, of_1300] = [0.12137746022541372, 0.03927149683565089, 0.03859625017111364];
    near(&ordinary(4), 10.0 * (of_1200 + slope * 0.36) + 4.0 * (of_1300 + slope * 0.5));
    near(&ordinary(6), 11.0 * white + slope * 6.62);
    // Tenths: 2 x (20 + 40 + 60), and 2 x (400 + 1600 + 3600).
    assert_eq!(
        sums[4]["clock"],
        serde_json::json!({"games": 6, "tenths": 240, "tenths_sq": 11_200})
    );
    assert_eq!(
        sums[5]["clock"],
        serde_json::json!({"games": 4, "tenths": 400, "tenths_sq": 40_800})
    );
}

/// All games are blitz, D = 1. The slip: mean 40 tenths of a second, squared deviations 1600 over 6
/// games, squared error 1600/5/6; with 5 degrees of freedom times 1 + (1 + t^2)/5 for t = 2.039513,
/// so a gamma shape of 14.764339. The others: 100, 800 over 4 games, 800/3/4 times 1 + (1 + t^2)/3:
/// 55.149660. Quantiles of the normal tails beyond t: SciPy 1.17.1, `scipy.stats.gamma.ppf`.
#[test]
fn the_time_difference_has_the_interval_of_two_gamma_means() {
    let trap = answer(&["--min-sample", "1"]);
    let (slip_high, others_low) = (73.67064192927248f64, 77.32073562480132);
    let rise = (slip_high - 40.0).hypot(100.0 - others_low);
    near(&trap["time"]["difference_s"]["high"], (-60.0 + rise) / 10.0);
    assert_eq!(trap["time"]["difference_s"]["n"], 4);
}

/// Black 1200 slips in 10 of 14, 1300 in 4 of 9: below one half from 1300 on. Fewer than 50 games
/// join, whatever the minimum sample.
#[test]
fn the_curve_joins_thin_bands_and_falls_where_it_falls() {
    let trap = answer(&["--min-sample", "10", "--slip-below", "50%"]);
    let slips = &trap["curve"]["slip_rate"];
    assert_eq!(slips.as_array().map(Vec::len), Some(1));
    assert_eq!((&slips[0]["from"], &slips[0]["below"]), (&1200.into(), &1400.into()));
    assert_eq!(
        (&slips[0]["k"], &slips[0]["n"], &slips[0]["joined"]),
        (&14.into(), &23.into(), &true.into())
    );
    assert_eq!(trap["curve"]["slip_below"]["value"], 1300);
    let again = answer(&["--min-sample", "1", "--slip-below", "5%"]);
    assert_eq!(&again["curve"]["slip_rate"], slips);
    assert_eq!(again["curve"]["slip_below"]["reached"], false);
}

/// White plays 1. e4 in 40 of 40 games, 2. Nf3 in 36 of 36, 3. Nxe5 in 23 of 28. Edges are the
/// setter's with the sign turned.
#[test]
fn the_victim_sees_what_to_play_instead() {
    let trap = answer(&["--side", "victim", "--min-sample", "1"]);
    near(&trap["comes_up"]["value"], 23.0 / 28.0);
    let instead = &trap["instead"];
    assert_eq!((&instead[0]["san"], &instead[1]["san"]), (&"Qe7".into(), &"fxe5".into()));
    near(&instead[0]["edge"]["value"], -EDGES[2]);
    near(&instead[1]["edge"]["value"], -EDGES[0]);
    let earlier: Vec<_> = [0, 1].map(|at| trap["earlier"][at]["san"].clone()).into();
    assert_eq!(earlier, ["2...f6", "1...e5"]);
}

/// D of shares by position in the order of the line, then that of the occurrence; Wilson's interval
/// of 14 in 23 with D = 1.
#[test]
fn effective_numbers_are_those_of_the_groups() {
    let trap = answer(&["--explain", "--min-sample", "1"]);
    let effects = trap["explain"]["effects"].as_array().expect("a list");
    let want = [1.4605056669572798, 1.0865591397849461, 1.381422096964619, 1.0, 1.1502304147465436];
    assert_eq!(effects.len(), want.len());
    effects.iter().zip(want).for_each(|(effect, want)| near(&effect["shares"], want));
    near(&trap["occurrence"]["n_eff"], 40.0 / 1.3782361191320844);
    near(&trap["find_rate"]["n_eff"], 14.0 / want[4]);
    // m = 1.170507.
    near(&trap["edge_refuted"]["n_eff"], 11.0 / 1.0034101382488478);
    near(&trap["steered"]["n_eff"], 40.0 / want[0]);
    assert_eq!((&trap["steered"]["rarest"], &trap["steered"]["k"]), (&"1...e5".into(), &36.into()));
    near(&trap["slip_rate"]["low"], 0.4003292250823202);
    near(&trap["slip_rate"]["high"], 0.7837676401329144);
}
