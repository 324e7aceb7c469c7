//! Forty games in which every figure of `trap --explain` is worked out by hand.
//!
//! White is always rated 1300 and lays 1. e4 e5 2. Nf3 f6 3. Nxe5 fxe5?? 4. Qh5+; all games are blitz.
//! Results are White's wins, draws, losses.
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
//! Ordinary: Black 1200 scores 5 + 4/2 = 7 of 20 and is expected to score 7.2: -0.01 a game. Black 1300 scores 7 + 4/2 = 9,
//! expected 10: -0.05 a game. White scores 20 + 8/2 = 24 of 40, expected 12.8 + 10 = 22.8: +0.03 a game.

use serde_json::Value;

use crate::kit::{Folder, golden};

const TRAP: &str = "1. e4 e5 2. Nf3 f6 3. Nxe5 fxe5?? 4. Qh5+";

fn answer(options: &[&str]) -> Value {
    let folder = Folder::built(golden("hand-counted.pgn"), "--keep-from 1");
    let mut arguments = vec!["trap", TRAP, "--format", "json"];
    arguments.extend(options);
    folder.run_with(&arguments).json()["traps"][0].clone()
}

#[track_caller]
fn near(value: &Value, want: f64) {
    let value = value.as_f64().unwrap_or_else(|| panic!("{value} is no number"));
    assert!((value - want).abs() < 1e-9, "{value}, want {want}");
}

#[test]
fn every_figure_is_the_one_worked_out_by_hand() {
    let trap = answer(&["--explain", "--min-sample", "1"]);
    let s: f64 = 0.65;
    let p = 14.0 / 23.0;
    let refuted = 2.55 / 11.0;
    let figures = [
        // Slips 6 + 2 + 2 + 3 + 1 = 14 and 4 + 5 = 9 others, of 40 games as Black.
        ("occurrence", 23.0 / 40.0),
        // 1...e5: 18 of 20 in both bands. 2...f6: 14 of 18 and 12 of 18. (20 x 14/20 + 20 x 12/20)/40.
        ("steered", s),
        // 1...e5 36/40 and 2...f6 26/36, or 1...f6 2/40 and 2...e5 2/2: 0.65 + 0.05.
        ("steered_any_order", 0.7),
        ("slip_rate", p),
        // Replies by White 1300: 6 + 2 + 3 of 14.
        ("find_rate", 11.0 / 14.0),
        // Wins 5 + 2 + 2 + 1 = 10, draws 1 + 1, losses 1 + 1: 11 of 14.
        ("score_after_slip", 11.0 / 14.0),
        // Expected 10 x 0.64 + 4 x 0.5 = 8.4; ordinary 10 x 0.01 + 4 x 0.05 = 0.3.
        ("edge_after_slip", (11.0 - 8.4 - 0.3) / 14.0),
        // 9 wins, a draw, a loss: 9.5. Expected 8 x 0.64 + 3 x 0.5 = 6.62; ordinary 11 x 0.03.
        ("edge_refuted", refuted),
        // 3 wins, 2 draws, 4 losses: 4 of 9. Expected 4 x 0.64 + 5 x 0.5 = 5.06; ordinary 4 x 0.01 + 5 x 0.05 = 0.29.
        ("edge_no_slip", -0.15),
        // 2 wins, 2 draws, a loss: 3 of 5. Expected 2 x 0.64 + 3 x 0.5 = 2.78; ordinary 5 x 0.03 = 0.15.
        ("usual.edge", 0.014),
        ("slips_per_1000", 1000.0 * s * p),
        // Edge of all replies: 11 of 14, expected 8.4, ordinary 14 x 0.03 = 0.42: 2.18/14.
        ("worth_per_1000", 1000.0 * s * p * (refuted - 2.18 / 14.0)),
        ("price", 0.014 + 0.15),
        ("net_per_1000", 1000.0 * s * (p * refuted + (1.0 - p) * -0.15 - 0.014)),
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

/// The sums in the order of the line: needed move and others at each choice, slip, others, refutation, others, usual, totals.
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
    near(&ordinary(4), -0.3);
    near(&ordinary(6), 0.33);
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

/// All games are blitz. The slip: mean 40 tenths of a second, squared deviations 1600 over 6 games, squared error 1600/5/6; with 5 degrees of
/// freedom times 1 + 4.841459/5, so a gamma shape of 40^2 / 104.98 = 15.241643. The others: 100, 800 over 4 games, 800/3/4 times
/// 1 + 4.841459/3: 57.387281. Quantiles of 0.025 and 0.975: SciPy 1.17.1, `scipy.stats.gamma.ppf`.
#[test]
fn the_time_difference_has_the_interval_of_two_gamma_means() {
    let trap = answer(&["--min-sample", "1"]);
    let slip_high = 40.0 * 15.241642802446 / 8.575867046825;
    let others_low = 100.0 * 57.387280898858 / 73.158207889987;
    let rise = (slip_high - 40.0f64).hypot(100.0 - others_low);
    near(&trap["time"]["difference_s"]["high"], (-60.0 + rise) / 10.0);
    assert_eq!(trap["time"]["difference_s"]["n"], 4);
}

/// Black 1200 slips in 10 of 14, 1300 in 4 of 9: below one half from 1300 on. Fourteen games suffice for a sample of ten,
/// nine do not and join.
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
    let trap = answer(&["--min-sample", "1", "--slip-below", "5%"]);
    assert_eq!(trap["curve"]["slip_rate"].as_array().map(Vec::len), Some(2));
    assert_eq!(trap["curve"]["slip_below"]["reached"], false);
}

/// White plays 1. e4 in 40 of 40 games, 2. Nf3 in 36 of 36, 3. Nxe5 in 23 of 28. Black's 3... Qe7 has edge 0.15, the slip -2.3/14.
#[test]
fn the_victim_sees_what_to_play_instead() {
    let trap = answer(&["--side", "victim", "--min-sample", "1"]);
    near(&trap["comes_up"]["value"], 23.0 / 28.0);
    let instead = &trap["instead"];
    assert_eq!((&instead[0]["san"], &instead[1]["san"]), (&"Qe7".into(), &"fxe5".into()));
    near(&instead[0]["edge"]["value"], 0.15);
    near(&instead[1]["edge"]["value"], -2.3 / 14.0);
    let earlier: Vec<_> = [0, 1].map(|at| trap["earlier"][at]["san"].clone()).into();
    assert_eq!(earlier, ["2...f6", "1...e5"]);
}

/// The share 14/23 with clusters of two games has the interval of 7 in 11.5.
#[test]
fn clusters_widen_every_interval_and_leave_the_values() {
    let (one, two) =
        (answer(&["--min-sample", "1"]), answer(&["--min-sample", "1", "--cluster", "2"]));
    let ends = |trap: &Value, figure: &str| {
        ["low", "value", "high"].map(|end| trap[figure][end].as_f64().expect("known"))
    };
    let figures = [
        "occurrence",
        "steered",
        "steered_any_order",
        "slip_rate",
        "find_rate",
        "score_after_slip",
        "edge_after_slip",
        "edge_refuted",
        "edge_no_slip",
        "worth_per_1000",
        "price",
        "net_per_1000",
        "slips_per_1000",
    ];
    for figure in figures {
        let ([low, value, high], [lower, same, higher]) = (ends(&one, figure), ends(&two, figure));
        assert_eq!(value, same, "{figure}");
        assert!(lower < low && high < higher, "{figure}: {low}..{high} and {lower}..{higher}");
    }
    // Wilson by hand: (7 + z^2/2 +- z sqrt(7 x 4.5/11.5 + z^2/4)) / (11.5 + z^2).
    let z = 1.959963984540054f64;
    let half = z * (7.0 * 4.5 / 11.5 + z * z / 4.0).sqrt();
    near(&two["slip_rate"]["low"], (7.0 + z * z / 2.0 - half) / (11.5 + z * z));
}
