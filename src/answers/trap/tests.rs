//! Whole reports on hand-written games, every figure worked out by hand.

use super::*;
use crate::answers::kit::{ModelCounts, trap};
use crate::answers::stats::{Factor, product_interval, tango};
use crate::answers::{Figure, Question, Withheld};
use crate::lines::Trap;
use crate::terms::{BandRange, MoverFilter, Pace};

const BAIT: &str = "e4 e5 Nf3 Nc6 Bc4 Nd4";

/// Black lays it: 4. Nxe5 is met by Qg5.
fn line() -> Trap {
    trap(&format!("{BAIT} Nxe5 Qg5"), 6)
}

/// Twelve games. White is 1500 (expected 0.5 each) or 1600 (0.64 to 0.36), Black always 1500.
fn twelve_games() -> ModelCounts {
    let (a, b) = ([1500, 1500], [1600, 1500]);
    ModelCounts::new()
        .add(2, a, "0-1", &format!("{BAIT} Nxe5 Qg5"))
        .add(1, a, "1-0", &format!("{BAIT} Nxe5 Ne6"))
        .add(1, a, "1-0", &format!("{BAIT} c3"))
        .add(1, a, "1/2", "e4 e5 Nf3 Nc6 Bc4 Nf6")
        .add(1, a, "1-0", "e4 e5 Nf3 Nc6 Bb5")
        .add(1, a, "0-1", "e4 e5 Nf3 Nc6 Bb5")
        .add(1, a, "1/2", "d4")
        .add(1, b, "0-1", &format!("{BAIT} Nxe5 Qg5"))
        .add(1, b, "1/2", &format!("{BAIT} O-O"))
        .add(1, b, "1-0", "e4 e5 Nf3 Nc6 Bc4 Bc5")
        .add(1, b, "1-0", "e4 c5")
}

fn ask(min_sample: u64) -> Question {
    Question { min_sample, ahead: 2, ..Question::default() }
}

fn bands(from: u16, below: u16) -> MoverFilter {
    let bands = BandRange::new(from, below).expect("on the edges");
    MoverFilter { bands, ..MoverFilter::ALL }
}

fn report(counts: &ModelCounts, trap: &Trap, question: &Question) -> TrapReport {
    let Ok(report) = judge(counts, trap, question);
    report
}

#[track_caller]
fn near(value: Option<f64>, want: f64) {
    let value = value.expect("a known value");
    assert!((value - want).abs() < 1e-9, "{value}, want {want}");
}

#[track_caller]
fn is(rate: &Figure, k: u64, n: u64) {
    assert_eq!((rate.k, rate.n, rate.value), (Some(k), n, Some(k as f64 / n as f64)));
}

/// The figure that is lacking, if another one, its games and those needed.
#[track_caller]
fn why(figure: &Figure) -> (&'static str, u64, u64) {
    assert_eq!((figure.value, figure.low, figure.high), (None, None, None));
    match figure.withheld.as_ref().expect("a reason") {
        Withheld::TooFewGames { n, needed, .. } => ("", *n, *needed),
        Withheld::NeedsAnother { figure, why } => match **why {
            Withheld::TooFewGames { n, needed, .. } => (figure, n, needed),
            _ => panic!("only games lack"),
        },
        other => (other.code(), 0, 0),
    }
}

#[test]
fn a_report_names_its_moves() {
    let report = report(&twelve_games(), &line(), &ask(1));
    assert_eq!(report.line, "1. e4 e5 2. Nf3 Nc6 3. Bc4 Nd4 4. Nxe5?? Qg5");
    assert_eq!(report.bait.as_deref(), Some("Nd4"));
    assert_eq!((report.slip.as_str(), report.refutation.as_str()), ("Nxe5", "Qg5"));
    let fen = "r1bqkbnr/pppp1ppp/8/4p3/2BnP3/5N2/PPPP1PPP/RNBQK2R w KQkq - 4 4";
    assert_eq!(report.trap_fen, fen);
    assert_eq!(report.setter, shakmaty::Color::Black);
    assert_eq!(
        report.paces[..],
        [(Pace::Blitz, 6)]
            .map(|(pace, games)| { crate::answers::moves::PaceGames { pace, games } })
    );
}

/// Whites of 1500 move in the trap position in 4 of 8 games and slip in 3, those of 1600 in 2 of 4
/// and slip in 1. Of the 4 replies 3 refute.
#[test]
fn shares_are_counted_from_the_movers_of_each_position() {
    let figures = report(&twelve_games(), &line(), &ask(1)).figures;
    assert_eq!(figures.games, 6);
    is(&figures.occurrence, 6, 12);
    is(&figures.slip_rate, 4, 6);
    is(&figures.find_rate, 3, 4);
}

/// 1500: 7/8 x 7/7 x 5/7 = 5/8. 1600: 4/4 x 3/3 x 3/3 = 1. Weights 8 and 4: 9/12. Together the
/// shares are 11/12, 10/10 and 8/10, the last the thinnest.
#[test]
fn steered_averages_the_bands_by_their_games() {
    let report = report(&twelve_games(), &line(), &ask(1));
    let steered = &report.figures.steered;
    near(steered.rate.value, 0.75);
    assert_eq!((steered.rate.k, steered.rate.n, steered.mixed), (Some(8), 10, false));
    let choices: Vec<_> =
        report.choices.iter().map(|c| (c.san.as_str(), c.share.k, c.share.n)).collect();
    assert_eq!(choices, [("1.e4", Some(11), 12), ("2.Nf3", Some(10), 10), ("3.Bc4", Some(8), 10)]);
}

/// Below four games a band borrows: 1600 takes 10/10 and 8/10 behind its own 4/4. (8 x 5/8 +
/// 4 x 0.8)/12 = 8.2/12.
#[test]
fn a_thin_band_takes_the_share_of_all_and_is_marked() {
    let steered = report(&twelve_games(), &line(), &ask(4)).figures.steered;
    near(steered.rate.value, 8.2 / 12.0);
    assert!(steered.mixed);
}

/// One band, so one product: shares 7/8, 7/7, 5/7, and the slip 3/4 as one more factor.
#[test]
fn one_band_takes_the_interval_of_a_product() {
    let figures = report(&twelve_games(), &line(), &ask(1).about(bands(1500, 1600))).figures;
    let mut shares = vec![Factor::new(7, 8), Factor::new(7, 7), Factor::new(5, 7)];
    let interval = product_interval(&shares);
    near(figures.steered.rate.low, interval.low);
    near(figures.steered.rate.high, interval.high);
    shares.push(Factor::new(3, 4));
    let interval = product_interval(&shares).scale(1000.0);
    near(figures.slips_per_1000.low, interval.low);
    near(figures.slips_per_1000.high, interval.high);
    near(figures.slips_per_1000.value, 1000.0 * 5.0 / 8.0 * 3.0 / 4.0);
}

/// One hit in two bands is too few for a share of each: the value is still the bands' own,
/// (60 x 0 + 60 x 1/60)/120, but the interval is that of 1 in 120 for both.
#[test]
fn few_hits_widen_the_interval_and_leave_the_value() {
    let counts = ModelCounts::new()
        .add(60, [1500, 1500], "1/2", "d4")
        .add(59, [1600, 1500], "1/2", "d4")
        .add(1, [1600, 1500], "0-1", "e4 e5 Nf3 Nc6");
    let line = trap("e4 e5 Nf3 Nc6", 2);
    let steered = report(&counts, &line, &ask(50)).figures.steered;
    let interval = product_interval(&[Factor::new(1, 120)]);
    near(steered.rate.value, 1.0 / 120.0);
    near(steered.rate.low, interval.low);
    near(steered.rate.high, interval.high);
    assert!(!steered.mixed);
}

/// 1000 x 3/4 x 2/3 = 500. Two games: one slip expected, at least one with 1 - 0.5^2.
#[test]
fn slips_and_the_games_ahead_multiply_out() {
    let figures = report(&twelve_games(), &line(), &ask(1)).figures;
    near(figures.slips_per_1000.value, 500.0);
    near(figures.ahead.expected.value, 1.0);
    near(figures.ahead.at_least_one.value, 0.75);
    let high = figures.slips_per_1000.high.expect("known") / 1000.0;
    near(figures.ahead.at_least_one.high, 1.0 - (1.0 - high).powi(2));
}

/// Ordinary: Whites of 1500 score 4/8, as expected: 0. Whites of 1600 score 2.5/4, expected 0.64:
/// -0.015. Blacks score 5.5/12, expected 5.44/12: 0.005.
///
/// After the slip, victims' cells: Black 3/4, expected (3 x 0.5 + 0.36)/4 = 0.465, ordinary
/// 0.015/4. Refuted, setters' cells: 3/3, expected 1.36/3, ordinary 0.005. No slip: Black 0.5/2,
/// expected 0.43, ordinary 0.0075. Usual: 0.5/2, expected 0.43, ordinary 0.005; Nf6 and Bc5 once
/// each, f8c5 before g8f6.
#[test]
fn edges_are_the_setters() {
    let figures = report(&twelve_games(), &line(), &ask(1)).figures;
    near(figures.score_after_slip.value, 0.75);
    near(figures.edge_after_slip.value, 0.75 - 0.465 - 0.00375);
    near(figures.edge_refuted.value, 1.0 - 1.36 / 3.0 - 0.005);
    near(figures.edge_no_slip.value, 0.25 - 0.43 - 0.0075);
    near(figures.usual.edge.value, 0.25 - 0.43 - 0.005);
    assert_eq!(figures.usual.san.as_deref(), Some("Bc5"));
    let score = tango(3, 0, 1).expect("games");
    near(figures.edge_after_slip.low, score.low - 0.465 - 0.00375);
}

/// All replies: 3/4, expected 0.465, ordinary 0.005: edge 0.28. Worth 500 x (0.541666... - 0.28).
/// Price -0.185 + 0.1875. Net 750 x (2/3 x 0.541666... - 1/3 x 0.1875 + 0.185).
#[test]
fn worth_price_and_net_follow_from_the_edges() {
    let figures = report(&twelve_games(), &line(), &ask(1)).figures;
    let refuted = 1.0 - 1.36 / 3.0 - 0.005;
    near(figures.worth.value, 500.0 * (refuted - 0.28));
    near(figures.price.value, 0.0025);
    near(figures.net.value, 750.0 * (2.0 / 3.0 * refuted - 0.0625 + 0.185));
    for mean in [&figures.worth, &figures.price, &figures.net] {
        let (value, low, high) = (mean.value, mean.low, mean.high);
        assert!(low < value && value < high, "{mean:?}");
    }
}

/// Two independent edges, each a shifted score of 0.25 with half a point in two games.
#[test]
fn the_interval_of_the_price_squares_and_adds() {
    let figures = report(&twelve_games(), &line(), &ask(1)).figures;
    let score = tango(0, 1, 1).expect("games");
    let (fall, rise) = (0.25 - score.low, score.high - 0.25);
    near(figures.price.low, 0.0025 - fall.hypot(rise));
    near(figures.price.high, 0.0025 + fall.hypot(rise));
}

/// Independent parts: s = 3/4, p = 2/3, 1 - f = 1/4, edges 0.541666... and -0.505.
#[test]
fn the_interval_of_the_worth_treats_finders_and_others_apart() {
    let figures = report(&twelve_games(), &line(), &ask(1)).figures;
    let gap: f64 = (1.0 - 1.36 / 3.0 - 0.005) + 0.505;
    let below =
        |mean: (Option<f64>, Option<f64>)| mean.0.zip(mean.1).map_or(f64::NAN, |(v, l)| v - l);
    let rate = |rate: &Figure| below((rate.value, rate.low));
    let finders = below((figures.edge_refuted.value, figures.edge_refuted.low));
    let others_above = tango(0, 0, 1).expect("a game").high;
    let find_above = -below((figures.find_rate.value, figures.find_rate.high));
    let falls = [
        2.0 / 3.0 * 0.25 * gap * rate(&figures.steered.rate),
        0.75 * 0.25 * gap * rate(&figures.slip_rate),
        0.5 * gap * find_above,
        0.5 * 0.25 * finders,
        0.5 * 0.25 * others_above,
    ];
    let fall = falls.iter().map(|fall| fall * fall).sum::<f64>().sqrt();
    near(figures.worth.low, figures.worth.value.expect("known") - 1000.0 * fall);
}

#[test]
fn a_band_row_is_the_report_of_that_band() {
    let counts = twelve_games();
    let whole = report(&counts, &line(), &ask(1));
    assert_eq!(whole.bands.iter().map(|row| row.from).collect::<Vec<_>>(), [1500, 1600]);
    for row in &whole.bands {
        let alone = report(&counts, &line(), &ask(1).about(bands(row.from, row.below)));
        assert_eq!(row.figures, alone.figures);
    }
    let b = &whole.bands[1].figures;
    is(&b.slip_rate, 1, 2);
    assert_eq!((b.steered.rate.value, b.find_rate.value), (Some(1.0), None));
}

#[test]
fn a_band_that_only_replies_has_a_row() {
    let counts = ModelCounts::new().add(1, [1500, 1900], "0-1", &format!("{BAIT} Nxe5 Qg5"));
    let report = report(&counts, &line(), &ask(1));
    assert_eq!(report.bands.iter().map(|row| row.from).collect::<Vec<_>>(), [1500, 1900]);
    assert_eq!(report.bands[1].figures.games, 0);
    is(&report.bands[1].figures.find_rate, 1, 1);
}

/// Ten games at the thinnest choices, six in the trap position, four after the slip, two without it.
#[test]
fn thin_pieces_withhold_what_is_made_of_them_by_name() {
    let figures = report(&twelve_games(), &line(), &ask(4)).figures;
    assert_eq!(why(&figures.worth), ("edge_refuted", 3, 4));
    assert_eq!(why(&figures.price), ("usual", 2, 4));
    let figures = report(&twelve_games(), &line(), &ask(7)).figures;
    assert_eq!(why(&figures.slips_per_1000), ("slip_rate", 6, 7));
    assert_eq!(why(&figures.ahead.expected), why(&figures.slips_per_1000));
    let figures = report(&twelve_games(), &line(), &ask(11)).figures;
    assert_eq!(why(&figures.steered.rate), ("", 10, 11));
    assert_eq!(why(&figures.net), ("steered", 10, 11));
    assert!(figures.occurrence.value.is_some());
}

/// Nobody plays 2. Nf3, but 12 games reach its position: 0 of 12, whatever lies behind.
#[test]
fn a_choice_that_no_game_makes_is_zero_and_says_so() {
    let counts = ModelCounts::new().add(12, [1500, 1500], "1/2", "e4 e5 Bc4");
    let figures = report(&counts, &line(), &ask(1)).figures;
    let rate = &figures.steered.rate;
    assert_eq!((rate.value, rate.low, rate.k, rate.n), (Some(0.0), Some(0.0), Some(0), 12));
    assert!(rate.high.expect("known") > 0.01);
    assert_eq!(figures.steered.never.as_deref(), Some("2.Nf3"));
    assert_eq!(figures.verdict.codes, [Code::TooFewGames]);
}

/// All 12 games stop before the choice, as where a position was dropped.
#[test]
fn a_choice_without_any_game_is_zero_and_says_so() {
    let counts = ModelCounts::new().add(12, [1500, 1500], "1/2", "e4 e5");
    let figures = report(&counts, &line(), &ask(1)).figures;
    assert_eq!((figures.steered.rate.value, figures.steered.rate.n), (Some(0.0), 0));
    assert!(figures.steered.rate.high.expect("known") > 0.5);
    assert_eq!(figures.steered.never.as_deref(), Some("2.Nf3"));
}

#[test]
fn without_any_game_of_the_level_everything_is_withheld() {
    let question = ask(1).about(bands(2000, 2400));
    let report = report(&twelve_games(), &line(), &question);
    let figures = &report.figures;
    let steered = &figures.steered;
    assert_eq!((steered.rate.value, steered.never.as_deref()), (None, None));
    assert_eq!(steered.rate.withheld.as_ref().map(Withheld::code), Some("no_games"));
    assert_eq!((report.bands.len(), report.expected), (0, None));
    assert_eq!(figures.verdict.codes, [Code::TooFewGames]);
}

#[test]
fn a_slip_on_the_first_move_has_no_bait_and_is_always_reached() {
    let counts = twelve_games();
    let line = trap("e4 e5", 0);
    let report = report(&counts, &line, &ask(1));
    let figures = &report.figures;
    assert_eq!((report.bait, figures.steered.rate.value), (None, Some(1.0)));
    is(&figures.slip_rate, 11, 12);
    near(figures.slips_per_1000.value, 1000.0 * 11.0 / 12.0);
    for mean in [&figures.usual.edge, &figures.price, &figures.net] {
        assert_eq!(why(mean), ("no_bait", 0, 0));
    }
}

/// The setter moves first: its bait is the first move, and no choice of the victim lies before.
#[test]
fn a_slip_on_the_second_move_has_a_bait_and_no_choices() {
    let line = trap("e4 e5 Nf3", 1);
    let report = report(&twelve_games(), &line, &ask(1));
    assert_eq!((report.setter, report.choices.len()), (shakmaty::Color::White, 0));
    assert_eq!(report.bait.as_deref(), Some("e4"));
    assert_eq!(report.figures.usual.san.as_deref(), Some("d4"));
    is(&report.figures.slip_rate, 10, 11);
}

/// Everybody who could refute did: nothing is to be gained by knowing it.
#[test]
fn a_refutation_that_everybody_finds_is_worth_nothing() {
    let counts = ModelCounts::new().add(3, [1500, 1500], "0-1", &format!("{BAIT} Nxe5 Qg5"));
    let worth = report(&counts, &line(), &ask(1)).figures.worth;
    near(worth.value, 0.0);
    assert!(worth.low <= worth.value && worth.value <= worth.high);
}

#[test]
fn the_counts_that_lack_most_are_told() {
    let counts = twelve_games().describe("e4 e5", "C20", "King's Pawn Game", 3).describe(
        "e4 e5 Nf3 Nc6 Bc4",
        "C50",
        "Italian Game",
        8,
    );
    let report = report(&counts, &line(), &ask(1));
    assert_eq!(report.may_lack, 8);
    assert_eq!(
        (report.opening.as_deref(), report.eco.as_deref()),
        (Some("Italian Game"), Some("C50"))
    );
}
