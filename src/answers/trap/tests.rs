//! Whole reports on hand-written games, every figure worked out by hand.
//!
//! Each game has players of its own, in a group of their own as long as there are no more
//! than 32 games: then m = 1, and shares have D = V / B = G/(G-1) = 32/31, where more than
//! one move is played.

use super::kit::{BAIT, ask, laid_by_black, near, report};
use super::*;
use crate::answers::kit::{ModelCounts, trap};
use crate::answers::stats::{Factor, Interval, T_95, product_interval, tango};
use crate::answers::{Figure, Question, Withheld};
use crate::terms::{BandRange, MoverFilter, Pace};

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

/// D of a position in which each game has players of its own.
const APART: f64 = 32.0 / 31.0;

fn scored(wins: u64, draws: u64, losses: u64) -> Interval {
    tango(wins, draws, losses, T_95).expect("games")
}

fn bands(from: u16, below: u16) -> MoverFilter {
    let bands = BandRange::new(from, below).expect("on the edges");
    MoverFilter { bands, ..MoverFilter::ALL }
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
            Withheld::TooFewGames { n, needed, .. } | Withheld::Thin { n, needed, .. } => {
                (figure, n, needed)
            }
            _ => panic!("only games lack"),
        },
        other => (other.code(), 0, 0),
    }
}

#[test]
fn a_report_names_its_moves() {
    let report = report(&twelve_games(), &laid_by_black(), &ask(1));
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

/// Both bands have fewer than 50 games and are taken together: 11/12, 10/10 and 8/10. Of the last
/// two with as many games 2. Nf3 has no other move, so D = 1 and ten effective games; 3. Bc4 has
/// fewer and is the rarest.
#[test]
fn steered_is_the_product_of_the_needed_moves() {
    let report = report(&twelve_games(), &laid_by_black(), &ask(1));
    let steered = &report.figures.steered;
    near(steered.rate.value, 11.0 / 12.0 * 0.8);
    assert_eq!((steered.rate.k, steered.rate.n, steered.mixed), (Some(8), 10, true));
    assert_eq!(steered.rarest.as_deref(), Some("3.Bc4"));
    near(Some(steered.rate.n_eff), 10.0 / APART);
    let choices: Vec<_> =
        report.choices.iter().map(|c| (c.san.as_str(), c.share.k, c.share.n)).collect();
    assert_eq!(choices, [("1.e4", Some(11), 12), ("2.Nf3", Some(10), 10), ("3.Bc4", Some(8), 10)]);
}

/// Of 1500 40 of 100 play 1. e4; of 1600 10 of 30 and of 1700 20 of 30, together 30 of 60: (100 x
/// 0.4 + 60 x 0.5)/160, whatever the minimum sample.
#[test]
fn thin_bands_are_taken_together_and_marked() {
    let mut counts = ModelCounts::new();
    for (rating, with, without) in [(1500, 40, 60), (1600, 10, 20), (1700, 20, 10)] {
        counts = counts.add(with, [rating, 1500], "1/2", "e4 e5 Nf3 d6");
        counts = counts.add(without, [rating, 1500], "1/2", "d4");
    }
    let line = trap("e4 e5 Nf3 d6", 2);
    for least in [1, 20, 100] {
        let steered = report(&counts, &line, &ask(least)).figures.steered;
        near(steered.rate.value, 0.4375);
        assert!(steered.mixed);
    }
}

/// One band, so one product: shares 7/8, 7/7, 5/7, and the slip 3/4 as one more factor.
#[test]
fn one_band_takes_the_interval_of_a_product() {
    let figures =
        report(&twelve_games(), &laid_by_black(), &ask(1).about(bands(1500, 1600))).figures;
    let apart = |k, n| Factor::new(k, n).with_effect(APART);
    let mut shares = vec![apart(7, 8), Factor::new(7, 7), apart(5, 7)];
    let interval = product_interval(&shares, T_95);
    near(figures.steered.rate.low, interval.low);
    near(figures.steered.rate.high, interval.high);
    shares.push(apart(3, 4));
    let interval = product_interval(&shares, T_95).scale(1000.0);
    near(figures.slips_per_1000.low, interval.low);
    near(figures.slips_per_1000.high, interval.high);
    near(figures.slips_per_1000.value, 1000.0 * 5.0 / 8.0 * 3.0 / 4.0);
}

/// One hit in two bands is too few for a share of each: the value is still the bands' own,
/// (60 x 0 + 60 x 1/60)/120, but the interval is that of 1 in 120 for both. 24 groups have 4 games,
/// 8 have 3: D = 1.0045 by the formula.
#[test]
fn few_hits_widen_the_interval_and_leave_the_value() {
    let counts = ModelCounts::new()
        .add(60, [1500, 1500], "1/2", "d4")
        .add(59, [1600, 1500], "1/2", "d4")
        .add(1, [1600, 1500], "0-1", "e4 e5 Nf3 Nc6");
    let line = trap("e4 e5 Nf3 Nc6", 2);
    let steered = report(&counts, &line, &ask(50)).figures.steered;
    let effect = 1.004_499_864_461_915_4;
    let interval = product_interval(&[Factor::new(1, 120).with_effect(effect)], T_95);
    near(steered.rate.value, 1.0 / 120.0);
    near(steered.rate.low, interval.low);
    near(steered.rate.high, interval.high);
    assert!(!steered.mixed);
}

/// 1000 x 11/15 x 2/3 = 488.9: of two games 0.978 slips expected, at least one with 1 - 0.511^2.
/// Nearly anything may happen.
#[test]
fn slips_and_the_games_ahead_multiply_out() {
    let question = Question { ahead: 2, ..ask(1) };
    let figures = report(&twelve_games(), &laid_by_black(), &question).figures;
    near(figures.slips_per_1000.value, 22_000.0 / 45.0);
    near(figures.ahead.expected.value, 44.0 / 45.0);
    near(figures.ahead.at_least_one.value, 1.0 - (23.0f64 / 45.0).powi(2));
    assert_eq!(figures.ahead.range, Some(NextSlips { low: 0, high: 2 }));
    let high = figures.slips_per_1000.high.expect("known") / 1000.0;
    near(figures.ahead.at_least_one.high, 1.0 - (1.0 - high).powi(2));
}

/// Scores and expectations by hand, the rest by an independent computation of the calibrated
/// expectation in Python: slope 0.840031554485 (least squares 0.892857 with variance 4.185268
/// against 0.84 with 0.05^2), levels shrunk by 500 games.
///
/// After the slip, victims' cells: Black 3/4, expected (3 x 0.5 + 0.36)/4. Refuted, setters' cells:
/// 3/3. No slip: Black 0.5/2. Usual: 0.5/2; Nf6 and Bc5 once each, f8c5 before g8f6.
#[test]
fn edges_are_the_setters() {
    let figures = report(&twelve_games(), &laid_by_black(), &ask(1)).figures;
    near(figures.score_after_slip.value, 0.75);
    near(figures.edge_after_slip.value, EDGE_AFTER);
    near(figures.edge_refuted.value, EDGE_REFUTED);
    near(figures.edge_no_slip.value, EDGE_NO_SLIP);
    near(figures.usual.edge.value, EDGE_USUAL);
    assert_eq!(figures.usual.san.as_deref(), Some("Bc5"));
    // Each player has one game, and who answers is not asked of so few.
    near(figures.edge_after_slip.low, scored(3, 0, 1).low - 0.75 + EDGE_AFTER);
}

const EDGE_AFTER: f64 = 0.2818469645813442;
const EDGE_REFUTED: f64 = 0.5416666666666667;
const EDGE_NO_SLIP: f64 = -0.1887324430066457;
const EDGE_USUAL: f64 = -0.1887325970620216;
/// Of the replies that do not refute.
const EDGE_MISSED: f64 = -0.4975348058759567;
/// Steered and slip rate.
const S: f64 = 11.0 / 15.0;
const P: f64 = 2.0 / 3.0;

/// Two independent edges, each a shifted score of 0.25 with half a point in two games.
#[test]
fn the_interval_of_the_price_squares_and_adds() {
    let figures = report(&twelve_games(), &laid_by_black(), &ask(1)).figures;
    let score = scored(0, 1, 1);
    let (fall, rise) = (0.25 - score.low, score.high - 0.25);
    near(figures.price.low, EDGE_USUAL - EDGE_NO_SLIP - fall.hypot(rise));
    near(figures.price.high, EDGE_USUAL - EDGE_NO_SLIP + fall.hypot(rise));
}

/// Independent parts: steered, slip rate, 1 - f = 1/4, and the edges of those who refute and
/// of the others.
#[test]
fn the_interval_of_the_worth_treats_finders_and_others_apart() {
    let figures = report(&twelve_games(), &laid_by_black(), &ask(1)).figures;
    let gap: f64 = EDGE_REFUTED - EDGE_MISSED;
    let below =
        |mean: (Option<f64>, Option<f64>)| mean.0.zip(mean.1).map_or(f64::NAN, |(v, l)| v - l);
    let rate = |rate: &Figure| below((rate.value, rate.low));
    let finders = below((figures.edge_refuted.value, figures.edge_refuted.low));
    let others_above = scored(0, 0, 1).high;
    let find_above = -below((figures.find_rate.value, figures.find_rate.high));
    let falls = [
        P * 0.25 * gap * rate(&figures.steered.rate),
        S * 0.25 * gap * rate(&figures.slip_rate),
        S * P * gap * find_above,
        S * P * 0.25 * finders,
        S * P * 0.25 * others_above,
    ];
    let fall = falls.iter().map(|fall| fall * fall).sum::<f64>().sqrt();
    near(figures.worth.low, figures.worth.value.expect("known") - 1000.0 * fall);
}

/// Its counts and values are those of the band alone, its effective numbers follow the games
/// of all bands.
#[test]
fn a_band_row_counts_the_band_and_takes_the_design_effects_of_all() {
    let counts = ModelCounts::new()
        .add(40, [1500, 1500], "0-1", &format!("{BAIT} Nxe5 Qg5"))
        .add(30, [1500, 1500], "1-0", &format!("{BAIT} c3"))
        .add(50, [1600, 1500], "0-1", &format!("{BAIT} Nxe5 Qg5"))
        .add(20, [1600, 1500], "1-0", &format!("{BAIT} O-O"))
        .by_one_player(BAIT);
    let whole = report(&counts, &laid_by_black(), &ask(1));
    assert_eq!(whole.bands.iter().map(|row| row.from).collect::<Vec<_>>(), [1500, 1600]);
    let effect = |rate: &Figure| rate.n as f64 / rate.n_eff;
    let all = &whole.figures;
    for row in &whole.bands {
        let alone =
            report(&counts, &laid_by_black(), &ask(1).about(bands(row.from, row.below))).figures;
        let same = |figures: &Figures| {
            let Figures { steered, net, .. } = figures;
            let rates = [&figures.slip_rate, &figures.find_rate];
            let occurrence = (figures.occurrence.k, figures.occurrence.n);
            let rates = rates.map(|rate| (rate.k, rate.n, rate.value));
            (rates, occurrence, steered.rate.value, net.value)
        };
        assert_eq!(same(&row.figures), same(&alone));
        near(Some(effect(&row.figures.slip_rate)), effect(&all.slip_rate));
        near(Some(effect(&row.figures.occurrence)), effect(&all.occurrence));
    }
    assert!(effect(&all.slip_rate) > 20.0);
}

#[test]
fn a_band_that_only_replies_has_a_row() {
    let counts = ModelCounts::new().add(1, [1500, 1900], "0-1", &format!("{BAIT} Nxe5 Qg5"));
    let report = report(&counts, &laid_by_black(), &ask(1));
    assert_eq!(report.bands.iter().map(|row| row.from).collect::<Vec<_>>(), [1500, 1900]);
    assert_eq!(report.bands[1].figures.games, 0);
    is(&report.bands[1].figures.find_rate, 1, 1);
}

/// Ten games at the thinnest choices, six in the trap position, four after the slip,
/// two without it.
#[test]
fn thin_pieces_withhold_what_is_made_of_them_by_name() {
    let figures = report(&twelve_games(), &laid_by_black(), &ask(4)).figures;
    assert_eq!(why(&figures.worth), ("edge_refuted", 3, 4));
    assert_eq!(why(&figures.price), ("usual", 2, 4));
    let figures = report(&twelve_games(), &laid_by_black(), &ask(7)).figures;
    assert_eq!(why(&figures.slips_per_1000), ("slip_rate", 6, 7));
    assert_eq!(why(&figures.ahead.expected), why(&figures.slips_per_1000));
    let figures = report(&twelve_games(), &laid_by_black(), &ask(11)).figures;
    assert_eq!(why(&figures.steered.rate), ("", 10, 11));
    // Of several that are thin the rarest.
    assert_eq!(why(&figures.net), ("edge_no_slip", 2, 11));
    assert!(figures.occurrence.value.is_some());
}

/// Nobody plays 2. Nf3, but 12 games reach its position: 0 of 12, whatever lies behind. That is
/// enough for a sample of 12 and not for one of 13.
#[test]
fn a_choice_that_no_game_makes_is_zero_and_says_so() {
    let counts = ModelCounts::new().add(12, [1500, 1500], "1/2", "e4 e5 Bc4");
    let figures = report(&counts, &laid_by_black(), &ask(1)).figures;
    let rate = &figures.steered.rate;
    assert_eq!((rate.value, rate.low, rate.k, rate.n), (Some(0.0), Some(0.0), Some(0), 12));
    assert!(rate.high.expect("known") > 0.01);
    assert_eq!(figures.steered.never.as_deref(), Some("2.Nf3"));
    assert_eq!(figures.verdict.codes, [Code::TooFewGames]);
    assert!(report(&counts, &laid_by_black(), &ask(12)).figures.steered.rate.value.is_some());
    let few = report(&counts, &laid_by_black(), &ask(13)).figures.steered;
    assert_eq!((why(&few.rate), few.never), (("", 12, 13), None));
}

/// All 12 games stop before the choice, as where a position was dropped: nothing is concluded
/// from no games.
#[test]
fn a_choice_without_any_game_is_withheld() {
    let counts = ModelCounts::new().add(12, [1500, 1500], "1/2", "e4 e5");
    let report = report(&counts, &laid_by_black(), &ask(1));
    let steered = &report.figures.steered;
    assert_eq!((steered.rate.value, steered.rate.n, &steered.never), (None, 0, &None));
    assert_eq!(steered.rate.withheld.as_ref().map(Withheld::code), Some("no_games"));
    assert_eq!(report.steered_any_order.value, None);
}

#[test]
fn without_any_game_of_the_level_everything_is_withheld() {
    let question = ask(1).about(bands(2000, 2400));
    let report = report(&twelve_games(), &laid_by_black(), &question);
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
    let worth = report(&counts, &laid_by_black(), &ask(1)).figures.worth;
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
    let report = report(&counts, &laid_by_black(), &ask(1));
    assert_eq!(report.may_lack, crate::counts::Lacking::UpTo(8));
    assert_eq!(
        (report.opening.as_deref(), report.eco.as_deref()),
        (Some("Italian Game"), Some("C50"))
    );
}
