//! Each rule of the advice, on figures made for it.

use super::advice::{AdviceCode, AdviceGrounds, Facts, Reason, ReasonCode};
use super::soundness::SoundnessCode::{self, Gamble, NoSlip, Sound, Unknown};
use super::verdict::codes;
use super::*;
use crate::answers::kit::{ModelCounts, trap};
use crate::answers::stats::Interval;
use crate::answers::{Cutoffs, Figure, Question, Withheld};
use crate::terms::{BandRange, MoverFilter};
use AdviceCode::{Skip, Teach, Undecided, Warn};

/// What a trap of 10,000 games of the level has; value and margin.
#[derive(Clone)]
struct Case {
    slips: Option<[f64; 3]>,
    net: Option<[f64; 3]>,
    own: Option<[f64; 3]>,
    costs: [f64; 3],
    soundness: SoundnessCode,
    wider: Vec<(MoverFilter, Facts)>,
}

/// It comes up, it pays, it is sound, and the students themselves do not fall for it.
fn good() -> Case {
    Case {
        slips: Some([20.0, 15.0, 25.0]),
        net: Some([10.0, 2.0, 18.0]),
        own: Some([0.3, 0.1, 0.6]),
        costs: [0.2, 0.1, 0.3],
        soundness: Sound,
        wider: Vec::new(),
    }
}

fn figure(ends: Option<[f64; 3]>) -> Figure {
    match ends {
        Some([value, low, high]) => Figure::known(value, Interval::new(low, high), 100),
        None => {
            let why = Withheld::TooFewGames { n: 20, n_eff: 10, needed: 50 };
            Figure::withheld(20, why).with_effect(2.0)
        }
    }
}

impl Case {
    fn report(&self) -> TrapReport {
        let line = trap("e4 e5 Nf3 f6 Nxe5 fxe5 Qh5", 5);
        let Ok(mut report) = judge(&ModelCounts::new(), &line, &Question::default());
        let cutoffs = Cutoffs::default();
        let figures = &mut report.figures;
        figures.slips_per_1000 = figure(self.slips);
        figures.verdict.codes = codes(&figures.slips_per_1000, cutoffs, false);
        (figures.net, figures.own_slips) = (figure(self.net), figure(self.own));
        figures.edge_after_slip = figure(Some(self.costs));
        figures.occurrence = Figure::known(0.01, Interval::new(0.009, 0.011), 10_000);
        report.soundness.verdict = self.soundness;
        report.grounds = AdviceGrounds { cutoffs, wider: self.wider.clone() };
        report.advice = Advice::of(&report.figures, &report.soundness, &report.grounds);
        report
    }

    fn advice(&self) -> Advice {
        self.report().advice
    }

    #[track_caller]
    fn is(&self, codes: &[AdviceCode]) -> Vec<ReasonCode> {
        let advice = self.advice();
        assert_eq!(advice.codes, codes, "{:?}", advice.reasons);
        advice.reasons.iter().map(|reason| reason.code).collect()
    }
}

#[test]
fn what_comes_up_is_sound_and_pays_is_taught() {
    let reasons = good().is(&[Teach]);
    assert_eq!(reasons, [ReasonCode::ComesUp, ReasonCode::Pays, ReasonCode::Sound]);
    // Between the cut-offs it comes up as well, on one of them it is open.
    Case { slips: Some([2.0, 1.1, 3.0]), ..good() }.is(&[Teach]);
    Case { slips: Some([2.0, 0.9, 3.0]), ..good() }.is(&[Undecided]);
    Case { net: Some([10.0, -0.1, 18.0]), ..good() }.is(&[Undecided]);
    Case { soundness: Unknown, ..good() }.is(&[Undecided]);
}

#[test]
fn the_other_side_is_taught_where_players_of_the_level_fall_for_it_whatever_it_pays() {
    let falls = Case { own: Some([2.0, 1.1, 3.0]), ..good() };
    assert!(falls.is(&[Teach, Warn]).contains(&ReasonCode::OwnSlips));
    Case { net: Some([-9.0, -12.0, -6.0]), ..falls.clone() }.is(&[Warn]);
    Case { net: None, ..falls.clone() }.is(&[Warn]);
    Case { soundness: Gamble, ..falls.clone() }.is(&[Warn]);
    // Not where the slip does not lose, where that is not known, where it costs nothing, or where
    // the margin reaches too low.
    Case { soundness: NoSlip, ..falls.clone() }.is(&[Skip]);
    Case { soundness: Unknown, ..falls.clone() }.is(&[Undecided]);
    Case { costs: [0.1, -0.1, 0.3], ..falls.clone() }.is(&[Teach]);
    Case { own: Some([2.0, 0.9, 3.0]), ..falls }.is(&[Teach]);
}

/// Whoever falls for it and pays a price that no interval tells yet may have to be taught the other
/// side, however rare it is if played for.
#[test]
fn it_is_not_skipped_while_what_own_slips_cost_is_open() {
    let falls = Case { own: Some([2.0, 1.1, 3.0]), ..good() };
    let rare = Case { slips: Some([0.3, 0.1, 0.9]), ..falls.clone() };
    let open = Case { costs: [0.1, -0.1, 0.3], ..rare.clone() };
    let reasons = open.is(&[Undecided]);
    for code in [ReasonCode::Rare, ReasonCode::OwnSlips, ReasonCode::CostOpen] {
        assert!(reasons.contains(&code), "{reasons:?}");
    }
    // The margin of the cost reaches twice as far as zero: four times the games.
    let more = open.advice().reasons.pop().expect("reasons");
    assert_eq!((more.code, more.games_to_decide), (ReasonCode::MoreGames, Some(40_000)));
    // What costs nothing for sure, and a move that does not lose, is skipped; one that mates is
    // taught whatever else is unknown.
    Case { costs: [-0.2, -0.3, -0.1], ..rare.clone() }.is(&[Skip]);
    Case { soundness: NoSlip, ..open.clone() }.is(&[Skip]);
    Case { soundness: Unknown, ..rare.clone() }.is(&[Undecided]);
    let mut mate = Case { soundness: Unknown, ..rare }.report();
    mate.soundness.slip_loses = Some(Grounds { cp: 1000.0, by: Witness::Mate });
    let advice = Advice::of(&mate.figures, &mate.soundness, &mate.grounds);
    assert_eq!(advice.codes, [Warn]);
    // So is a gamble that costs nothing for sure, but not while that is open.
    let gamble = Case { soundness: Gamble, slips: good().slips, ..open.clone() };
    let reasons = gamble.is(&[Undecided]);
    for code in [ReasonCode::Gamble, ReasonCode::OwnSlips, ReasonCode::CostOpen] {
        assert!(reasons.contains(&code), "{reasons:?}");
    }
    Case { costs: [-0.2, -0.3, -0.1], ..gamble }.is(&[Skip]);
    // What does not pay is skipped all the same.
    let unpaid = Case { slips: good().slips, net: Some([-9.0, -12.0, -6.0]), ..open };
    unpaid.is(&[Skip]);
    let mut worse = Case { soundness: Unknown, ..falls }.report();
    worse.soundness.without_slip = Some(Grounds { cp: -480.0, by: Witness::Evals });
    let advice = Advice::of(&worse.figures, &worse.soundness, &worse.grounds);
    assert_eq!((advice.codes, advice.reasons[2].code), (vec![Skip], ReasonCode::StandsWorse));
    assert_eq!(advice.reasons[2].without_slip_cp, Some(-480.0));
}

/// A mate that is proved costs the game: how many fell for it is all that games have to tell.
#[test]
fn a_proved_mate_needs_no_games_for_what_it_costs() {
    let line = "e4 e5 Bc4 Nc6 Qh5 Nf6 Qxf7#";
    let counts = ModelCounts::new()
        .add(20, [1500, 1500], "0-1", line)
        .add(60, [1500, 1500], "1-0", "e4 e5 Bc4 Nc6 Qh5 g6")
        .add(60, [1500, 1500], "0-1", "e4 e5 Bc4 Nc6 Qh5 g6");
    let question = Question::default();
    let Ok(report) = judge(&counts, &trap(line, 5), &question);
    assert_eq!(report.figures.edge_after_slip.value, None);
    assert!(report.advice.codes.contains(&Warn), "{:?}", report.advice);
    let Ok(victims) = judge_victim(&counts, &[trap(line, 5)], &question);
    assert_eq!(victims.traps[0].advice, VictimAdvice::Learn);
    // The same line cut off before the mate proves nothing.
    let Ok(report) = judge(&counts, &trap("e4 e5 Bc4 Nc6 Qh5 Nf6 Qxe5+", 5), &question);
    assert!(!report.advice.codes.contains(&Warn), "{:?}", report.advice);
}

#[test]
fn those_who_face_it_are_told_what_is_open() {
    let said = |case: Case| VictimAdvice::of(&case.report());
    let falls = Case { own: Some([2.0, 1.1, 3.0]), ..good() };
    assert_eq!(said(falls.clone()), VictimAdvice::Learn);
    assert_eq!(said(Case { own: Some([2.0, 0.9, 3.0]), ..good() }), VictimAdvice::HowOftenOpen);
    assert_eq!(said(Case { own: None, ..good() }), VictimAdvice::HowOftenOpen);
    assert_eq!(said(good()), VictimAdvice::Skip);
    assert_eq!(said(Case { soundness: NoSlip, ..falls.clone() }), VictimAdvice::NoLoss);
    assert_eq!(said(Case { costs: [-0.2, -0.3, -0.1], ..falls.clone() }), VictimAdvice::NoCost);
    let unknown = Case { soundness: Unknown, ..falls.clone() };
    assert_eq!(said(unknown), VictimAdvice::AskEngine);
    let mut open = Case { costs: [0.1, -0.1, 0.3], ..falls }.report();
    open.soundness.slip_loses = Some(Grounds { cp: 300.0, by: Witness::Evals });
    assert_eq!(VictimAdvice::of(&open), VictimAdvice::CostOpen);
}

#[test]
fn a_slip_without_a_bait_needs_no_more_games() {
    let mut report = Case { own: Some([0.5, 0.2, 3.0]), ..good() }.report();
    report.figures.net = Figure::withheld(0, Withheld::NoBait);
    let advice = Advice::of(&report.figures, &report.soundness, &report.grounds);
    assert_eq!(advice.codes, [Undecided]);
    let gain = advice.reasons.iter().find(|reason| reason.code == ReasonCode::GainOpen);
    assert!(gain.is_some_and(Reason::never_known));
    assert!(advice.reasons.iter().all(|reason| reason.games.is_none()));
}

#[test]
fn far_more_games_than_there_are_are_told_as_times() {
    let reason = |games_to_decide| {
        let found = good().advice().reasons.swap_remove(0);
        Reason { games: Some(1000), games_to_decide: Some(games_to_decide), ..found }
    };
    assert_eq!((reason(10_000).times(), reason(10_001).times()), (None, Some(11)));
}

/// Fifty divided by one, two or three games is no estimate.
#[test]
fn of_fewer_than_five_games_nobody_says_how_many_times_as_many_it_takes() {
    let reason = |n| {
        let mut report = good().report();
        let why = Withheld::TooFewGames { n, n_eff: n, needed: 50 };
        report.figures.net =
            Figure::withheld(n, Withheld::NeedsAnother { figure: "usual", why: Box::new(why) });
        let advice = Advice::of(&report.figures, &report.soundness, &report.grounds);
        advice.reasons.into_iter().last().expect("reasons")
    };
    let told = |n| {
        let reason = reason(n);
        (reason.code, reason.figure, reason.far_too_few().map(|figure| figure.n))
    };
    assert_eq!(told(0), (ReasonCode::NoGames, Some("usual"), None));
    assert_eq!(told(1), (ReasonCode::MoreGames, Some("usual"), Some(1)));
    assert_eq!(told(4), (ReasonCode::MoreGames, Some("usual"), Some(4)));
    assert_eq!(told(5), (ReasonCode::MoreGames, Some("usual"), None));
    // What is shown lacks nothing.
    let shown = Case { net: Some([10.0, -5.0, 25.0]), ..good() }.advice();
    assert_eq!(
        shown.reasons.last().map(|reason| (reason.code, reason.figure)),
        Some((ReasonCode::MoreGames, None))
    );
}

#[test]
fn one_thing_that_speaks_against_it_is_enough_to_skip_it() {
    let rare = Case { slips: Some([0.3, 0.1, 0.9]), soundness: Unknown, net: None, ..good() };
    assert!(rare.is(&[Skip]).contains(&ReasonCode::Rare));
    let loses = Case { net: Some([-9.0, -18.0, 0.0]), ..good() };
    assert!(loses.is(&[Skip]).contains(&ReasonCode::DoesNotPay));
    assert!(Case { soundness: NoSlip, ..good() }.is(&[Skip]).contains(&ReasonCode::NoSlip));
    assert!(Case { soundness: Gamble, ..good() }.is(&[Skip]).contains(&ReasonCode::Gamble));
}

/// The margin of net reaches 1.5 times as far as zero: 2.25 times the 10,000 games, 23,000
/// with two digits.
#[test]
fn undecided_says_how_many_games_would_decide() {
    let games = |case: Case| {
        let reasons = case.advice().reasons;
        let found = reasons.into_iter().find(|reason| reason.games.is_some());
        found.map(|reason| (reason.code, reason.games, reason.games_to_decide))
    };
    let open = Case { net: Some([10.0, -5.0, 25.0]), ..good() };
    assert_eq!(games(open.clone()), Some((ReasonCode::MoreGames, Some(10_000), Some(23_000))));
    // Withheld, it needs five times the games to be seen; the farther of two open facts counts if
    // both speak for it.
    let both = Case { slips: Some([2.0, 0.9, 3.0]), net: None, ..good() };
    assert_eq!(games(both), Some((ReasonCode::MoreGames, Some(10_000), Some(50_000))));
    // The nearer counts if it speaks against it.
    let against = Case { slips: Some([0.5, 0.2, 1.5]), net: None, ..good() };
    assert_eq!(games(against), Some((ReasonCode::MoreGames, Some(10_000), Some(40_000))));
    let near = Case { net: Some([0.01, -5.0, 5.0]), ..good() };
    assert_eq!(games(near), Some((ReasonCode::TooNear, Some(10_000), None)));
    // With the counts known only an engine is lacking.
    let engine = Case { soundness: Unknown, ..good() };
    assert_eq!(games(engine.clone()), None);
    assert!(engine.is(&[Undecided]).contains(&ReasonCode::AskEngine));
}

#[test]
fn undecided_names_the_nearest_wider_filter_that_tells() {
    let filter = |below| MoverFilter {
        bands: BandRange::new(0, below).expect("on the edges"),
        ..MoverFilter::ALL
    };
    let facts = |case: &Case| Facts::of_report(&case.report());
    let open = Case { net: Some([10.0, -5.0, 25.0]), ..good() };
    let wider = vec![
        (filter(1800), facts(&open)),
        (filter(2000), facts(&good())),
        (MoverFilter::ALL, facts(&good())),
    ];
    let advice = Case { wider: wider.clone(), ..open }.advice();
    let named = advice.reasons.iter().find(|reason| reason.code == ReasonCode::WiderFilter);
    assert_eq!(named.and_then(|reason| reason.filter), Some(filter(2000)));
    // What is decided needs none.
    let decided = Case { wider, ..good() }.advice();
    assert!(decided.reasons.iter().all(|reason| reason.filter.is_none()));
}

#[test]
fn nothing_is_advised_out_of_no_games() {
    let line = trap("e4 e5 Nf3 f6 Nxe5 fxe5 Qh5", 5);
    let Ok(report) = judge(&ModelCounts::new(), &line, &Question::default());
    assert_eq!(report.advice.codes, [Undecided]);
    let codes: Vec<ReasonCode> = report.advice.reasons.iter().map(|reason| reason.code).collect();
    let want = [
        ReasonCode::HowOftenOpen,
        ReasonCode::GainOpen,
        ReasonCode::AskEngine,
        ReasonCode::NoGames,
    ];
    assert_eq!(codes, want);
}

#[test]
fn traps_are_ordered_by_advice_then_net_then_slips_then_games_and_never_as_they_came() {
    let report = |name: &str, case: Case, games: u64| {
        let mut report = case.report();
        (report.name, report.figures.games) = (name.into(), games);
        report
    };
    let open = |slips| Case { slips, net: None, soundness: Unknown, ..good() };
    let want = [
        report("taught, more net", Case { net: Some([9.0, 8.0, 10.0]), ..good() }, 1),
        report("taught", Case { net: Some([40.0, 2.0, 78.0]), ..good() }, 9),
        report("open, net known", Case { soundness: Unknown, ..good() }, 1),
        report("open, more slips", open(Some([9.0, 6.0, 12.0])), 1),
        report("open, slips known", open(Some([20.0, 5.0, 35.0])), 9),
        report("open, more games", open(None), 9),
        report("open, a", open(None), 8),
        report("open, b", open(None), 8),
        report("skipped", Case { soundness: NoSlip, net: Some([90.0, 80.0, 99.0]), ..good() }, 99),
    ];
    let names = |reports: &[TrapReport]| -> Vec<String> {
        reports.iter().map(|report| report.name.clone()).collect()
    };
    for start in 0..want.len() {
        let mut mixed = want.to_vec();
        mixed.rotate_left(start);
        mixed.reverse();
        mixed.sort_by(order);
        assert_eq!(names(&mixed), names(&want));
    }
}
