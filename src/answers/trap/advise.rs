//! What to do with a trap: codes, and the numbers that they rest on.
//!
//! Every fact is decided by a whole interval, or it is open. A trap is worth teaching if it comes
//! up, is sound and pays; the other side is worth teaching (`warn`) if players of the level
//! themselves fall for it, whatever laying it pays. What is neither is skipped if one fact is
//! certain that speaks against it, and else undecided; also if players fall for it and only what it
//! costs them, or whether the slip loses, is open. So nothing is advised out of no data.

use std::cmp::Ordering;

use super::advice::{Advice, AdviceCode, AdviceGrounds, Facts, Reason, ReasonCode, Told};
use super::report::{Code, Figures, TrapReport};
use super::soundness::{Soundness, SoundnessCode};
use crate::answers::{Cutoffs, Figure};

impl Told {
    /// Whether a figure lies above a limit.
    fn above(figure: &Figure, limit: f64) -> Told {
        match (figure.value, figure.low, figure.high) {
            (Some(_), Some(low), _) if low > limit => Told::Yes,
            (Some(_), _, Some(high)) if high <= limit => Told::No,
            _ => Told::Open,
        }
    }
}

impl Facts {
    pub fn of(figures: &Figures, soundness: &Soundness, cutoffs: Cutoffs) -> Facts {
        let codes = figures.verdict.codes.as_slice();
        let comes_up = match codes {
            [Code::Rare] => Told::No,
            [Code::TooFewGames | Code::NotCounted] => Told::Open,
            codes if codes.contains(&Code::Rare) => Told::Open,
            _ => Told::Yes,
        };
        let own = Told::above(&figures.own_slips, cutoffs.occasional);
        // Who is mated by force has lost the game, however many games say so.
        let costs = match soundness.mate_in() {
            Some(_) => Told::Yes,
            None => Told::above(&figures.edge_after_slip, 0.0),
        };
        let falls = if own == Told::Yes { costs } else { Told::No };
        Facts { comes_up, pays: Told::above(&figures.net, 0.0), falls }
    }

    /// The same of a report, over its whole filter.
    pub fn of_report(trap: &TrapReport) -> Facts {
        Facts::of(&trap.figures, &trap.soundness, trap.grounds.cutoffs)
    }

    /// Whether more games could change nothing.
    pub fn are_known(self) -> bool {
        self.comes_up != Told::Open && self.pays != Told::Open
    }

    fn codes(self, soundness: &Soundness) -> Vec<AdviceCode> {
        let sound = soundness.verdict == SoundnessCode::Sound;
        let teach = self.comes_up == Told::Yes && self.pays == Told::Yes && sound;
        let warn = self.other_side(soundness);
        match (teach, warn) {
            (true, Told::Yes) => vec![AdviceCode::Teach, AdviceCode::Warn],
            (true, _) => vec![AdviceCode::Teach],
            (false, Told::Yes) => vec![AdviceCode::Warn],
            (false, told) if self.not_laid(soundness, told) => vec![AdviceCode::Skip],
            (false, _) => vec![AdviceCode::Undecided],
        }
    }

    /// Whether one thing speaks against laying it.
    fn speaks_against(self, soundness: &Soundness) -> bool {
        [self.comes_up, self.pays].contains(&Told::No)
            || soundness.verdict == SoundnessCode::NoSlip
            || soundness.stands_worse()
    }

    /// Whether that is enough to skip it. Where it is open whether the other side is worth
    /// teaching, that it is rare or a gamble is not.
    fn not_laid(self, soundness: &Soundness, other_side: Told) -> bool {
        let gamble = soundness.verdict == SoundnessCode::Gamble;
        match other_side {
            Told::Open => self.pays == Told::No || soundness.stands_worse() && !gamble,
            _ => self.speaks_against(soundness),
        }
    }

    /// Whether the other side is worth teaching.
    fn other_side(self, soundness: &Soundness) -> Told {
        let loses = match (soundness.verdict, soundness.slip_loses) {
            (SoundnessCode::NoSlip, _) => Told::No,
            (SoundnessCode::Unknown, None) => Told::Open,
            _ => Told::Yes,
        };
        match (self.falls, loses) {
            (Told::No, _) | (_, Told::No) => Told::No,
            (Told::Yes, Told::Yes) => Told::Yes,
            _ => Told::Open,
        }
    }
}

impl Reason {
    fn new(code: ReasonCode) -> Reason {
        Reason {
            code,
            figure: None,
            known: None,
            limit: None,
            slip_loses_cp: None,
            without_slip_cp: None,
            games: None,
            games_to_decide: None,
            filter: None,
        }
    }

    fn of(code: ReasonCode, (figure, known): (&'static str, &Figure), limit: f64) -> Reason {
        let (figure, known, limit) = (Some(figure), Some(known.clone()), Some(limit));
        Reason { figure, known, limit, ..Reason::new(code) }
    }
}

impl Advice {
    /// What these say.
    pub(super) fn of(figures: &Figures, soundness: &Soundness, grounds: &AdviceGrounds) -> Advice {
        let cutoffs = grounds.cutoffs;
        let facts = Facts::of(figures, soundness, cutoffs);
        let codes = facts.codes(soundness);
        let often = match facts.comes_up {
            Told::Yes => ReasonCode::ComesUp,
            Told::No => ReasonCode::Rare,
            Told::Open => ReasonCode::HowOftenOpen,
        };
        let pays = match facts.pays {
            Told::Yes => ReasonCode::Pays,
            Told::No => ReasonCode::DoesNotPay,
            Told::Open => ReasonCode::GainOpen,
        };
        let sound = match soundness.verdict {
            SoundnessCode::Sound => ReasonCode::Sound,
            SoundnessCode::Gamble => ReasonCode::Gamble,
            SoundnessCode::NoSlip => ReasonCode::NoSlip,
            SoundnessCode::Unknown if soundness.stands_worse() => ReasonCode::StandsWorse,
            SoundnessCode::Unknown => ReasonCode::AskEngine,
        };
        let mut reasons = vec![
            Reason::of(often, ("slips_per_1000", &figures.slips_per_1000), cutoffs.occasional),
            Reason::of(pays, ("net_per_1000", &figures.net), 0.0),
            Reason {
                slip_loses_cp: soundness.slip_loses.map(|grounds| grounds.cp),
                without_slip_cp: soundness.without_slip.map(|grounds| grounds.cp),
                ..Reason::new(sound)
            },
        ];
        let undecided = codes == [AdviceCode::Undecided];
        let other_side = facts.other_side(soundness);
        if codes.contains(&AdviceCode::Warn) || undecided && other_side != Told::No {
            let own = ("own_slips_per_1000", &figures.own_slips);
            reasons.push(Reason::of(ReasonCode::OwnSlips, own, cutoffs.occasional));
        }
        let cost_open = undecided && other_side == Told::Open && facts.falls == Told::Open;
        if cost_open {
            let cost = ("edge_after_slip", &figures.edge_after_slip);
            reasons.push(Reason::of(ReasonCode::CostOpen, cost, 0.0));
        }
        // Where it is not to be laid only the other side is open.
        let open = match facts.speaks_against(soundness) {
            true => vec![(facts.falls, "edge_after_slip", &figures.edge_after_slip, 0.0)],
            false => vec![
                (facts.comes_up, "slips_per_1000", &figures.slips_per_1000, cutoffs.occasional),
                (facts.pays, "net_per_1000", &figures.net, 0.0),
            ],
        };
        let open: Vec<Open<'_>> = open
            .into_iter()
            .filter(|(told, ..)| *told == Told::Open)
            .map(|(_, name, figure, limit)| Open { name, figure, limit })
            // More games never tell what has no bait.
            .filter(|open| {
                open.figure.withheld.as_ref().is_none_or(|why| why.games_needed().is_some())
            })
            .collect();
        if undecided && !open.is_empty() {
            reasons.push(games_to_decide(&open, figures.occurrence.n));
            let wider = grounds.wider.iter().find(|(_, facts)| {
                facts.are_known() || facts.codes(soundness) != [AdviceCode::Undecided]
            });
            let told = |(filter, _): &_| Reason {
                filter: Some(*filter),
                ..Reason::new(ReasonCode::WiderFilter)
            };
            reasons.extend(wider.map(told));
        }
        Advice { codes, reasons }
    }

    /// The place of the advice among others: what is to be taught comes first, what is to be
    /// skipped last.
    fn rank(&self) -> u8 {
        match self.codes.first() {
            Some(AdviceCode::Teach | AdviceCode::Warn) => 0,
            Some(AdviceCode::Undecided) | None => 1,
            Some(AdviceCode::Skip) => 2,
        }
    }
}

/// Which of two traps comes first: by the advice, then by the lower limit of net where it is known,
/// else by that of slips per 1000, else by games; equals by name and line.
pub fn order(a: &TrapReport, b: &TrapReport) -> Ordering {
    let descending = |of: fn(&Figures) -> Option<f64>| {
        let (a, b) = (of(&a.figures), of(&b.figures));
        match (a, b) {
            (Some(a), Some(b)) => b.total_cmp(&a),
            (a, b) => b.is_some().cmp(&a.is_some()),
        }
    };
    a.advice
        .rank()
        .cmp(&b.advice.rank())
        .then_with(|| descending(|figures| figures.net.value.and(figures.net.low)))
        .then_with(|| descending(|f| f.slips_per_1000.value.and(f.slips_per_1000.low)))
        .then_with(|| b.figures.games.cmp(&a.figures.games))
        .then_with(|| (&a.name, &a.line).cmp(&(&b.name, &b.line)))
}

/// More than so many times the games there are make no sense.
const MOST_TIMES: f64 = 1000.0;

/// A figure that leaves a fact open.
struct Open<'a> {
    name: &'static str,
    figure: &'a Figure,
    limit: f64,
}

impl Open<'_> {
    /// The figure where it is withheld, by the name of what it lacks.
    fn lacking(&self) -> (Option<&'static str>, Option<Figure>) {
        let why = self.figure.withheld.as_ref();
        let name = why.map(|why| why.lacks().unwrap_or(self.name));
        (name, why.map(|_| self.figure.clone()))
    }
}

/// By how many times the games would have to grow until the open facts are told, if values stay and
/// players come again as often as now: margins shrink with the square root of the games.
///
/// One fact against the trap decides, so the nearest of those counts; else all must speak for it,
/// so the farthest.
fn games_to_decide(open: &[Open<'_>], games: u64) -> Reason {
    let mut decides: Option<(&Open<'_>, bool, f64)> = None;
    for fact in open {
        let Some((for_it, times)) = times_to_tell(fact.figure, fact.limit) else {
            let (figure, known) = fact.lacking();
            return Reason {
                figure,
                known,
                games: Some(games),
                ..Reason::new(ReasonCode::NoGames)
            };
        };
        let nearer =
            decides.is_none_or(|(_, others_for_it, least)| match (for_it, others_for_it) {
                (true, true) => times > least,
                (false, false) => times < least,
                (for_it, _) => !for_it,
            });
        if nearer {
            decides = Some((fact, for_it, times));
        }
    }
    let (fact, _, needed) = decides.expect("a fact is open");
    if needed > MOST_TIMES {
        return Reason { games: Some(games), ..Reason::new(ReasonCode::TooNear) };
    }
    let (figure, known) = fact.lacking();
    let games_to_decide = Some(two_digits(needed * games as f64));
    Reason {
        figure,
        known,
        games: Some(games),
        games_to_decide,
        ..Reason::new(ReasonCode::MoreGames)
    }
}

/// Whether a figure speaks for the trap as it looks now, and how many times the games say whether
/// it lies above the limit; for a figure that is withheld how many times show it, no fewer. None
/// without games.
fn times_to_tell(figure: &Figure, limit: f64) -> Option<(bool, f64)> {
    let Some((value, interval)) = figure.estimate() else {
        // It rests on the thinnest of what it is made of.
        let times = figure.withheld.as_ref()?.games_needed()? as f64 / figure.n_eff;
        return times.is_finite().then_some((true, times.max(1.0)));
    };
    let (above, margin) = match value > limit {
        true => (true, value - interval.low),
        false => (false, interval.high - value),
    };
    // Where the margin touches more than two classes it may lie clear of the limit already.
    let times = (margin / (value - limit).abs()).powi(2).max(1.0);
    Some((above, if times.is_nan() { f64::INFINITY } else { times }))
}

/// Rounded up to two digits.
fn two_digits(games: f64) -> u64 {
    let unit = 10f64.powf((games.max(1.0).log10().floor() - 1.0).max(0.0));
    ((games / unit).ceil() * unit) as u64
}
