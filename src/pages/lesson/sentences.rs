//! Sentences about a trap, for the page and for the PGN file.

use maud::Markup;
use shakmaty::Color;

use super::advice::not_lost;
use super::figure::{Unit, markup, of_many, one_in, why, withheld};
use super::text::plain;
use super::{marked, played_at};
use crate::answers::Figure;
use crate::answers::lesson::Material;
use crate::answers::trap::VictimAdvice;
use crate::pages::languages::{Language, San, text_of};
use crate::terms::MoverFilter;

/// A phrase about the share of those who play a move.
type Remark = fn(&Language, &str, MoverFilter, Markup) -> Markup;

/// The sentences about one trap.
#[derive(Clone, Copy)]
pub(super) struct Sentences<'a> {
    pub material: &'a Material,
    pub filter: MoverFilter,
    pub words: &'a Language,
}

impl Sentences<'_> {
    /// All that is said of whether it works, or of whether it catches those who face it.
    pub(super) fn all(&self) -> Vec<Markup> {
        match self.met() {
            Some(met) => vec![met, self.slipped(), self.found(), self.costs()],
            None => {
                vec![self.reached(), self.slipped(), self.found(), self.gained(), self.ahead()]
            }
        }
    }

    /// What there are games for of how often it comes up, who slips and who refutes.
    pub(super) fn known(&self) -> Vec<Markup> {
        let figures = &self.material.report.figures;
        let often = match &self.material.victim {
            Some(victim) => victim.comes_up.rate.value.and_then(|_| self.met()),
            None => figures.steered.rate.value.map(|_| self.reached()),
        };
        let slipped = figures.slip_rate.low.map(|_| self.slipped());
        let found = figures.find_rate.low.map(|_| self.found());
        [often, slipped, found].into_iter().flatten().collect()
    }

    /// Opponents or players, as places in lists: who comes to the slip, and who to the refutation.
    pub(super) fn who(&self, slip: bool) -> usize {
        usize::from(self.material.victim.is_some() == slip)
    }

    /// How often the position is reached.
    fn reached(&self) -> Markup {
        let (words, report, side) = (self.words, &self.material.report, self.setter());
        let steered = &report.figures.steered;
        let rate = &steered.rate;
        match (&steered.never, rate.value) {
            (Some(mv), _) => words.reached_never(side, self.filter, words.san(mv)),
            (None, _) if report.choices.is_empty() => words.reached_always(side),
            (None, None) => words.reached_unknown(side, &why(rate, words)),
            (None, Some(value)) => match one_in(value, words) {
                Some(n) => words.reached_one_in(n, side, self.percent(rate)),
                None => words.reached_share(self.percent(rate), side),
            },
        }
    }

    /// How often a player whose own moves follow the line meets it.
    fn met(&self) -> Option<Markup> {
        let (words, victim) = (self.words, self.material.victim.as_ref()?);
        let (side, rate) = (victim.victim, &victim.comes_up.rate);
        Some(match (&victim.comes_up.never, rate.value) {
            (Some(mv), _) => words.met_never(self.filter, words.san(mv), side),
            (None, _) if victim.setter_choices.is_empty() => plain(words.met_always),
            (None, None) => words.met_unknown(side, &why(rate, words)),
            (None, Some(value)) => match one_in(value, words) {
                Some(n) => words.met_one_in(n, side, self.percent(rate)),
                None => words.met_share(self.percent(rate), side),
            },
        })
    }

    /// What the slip costs the one who plays it.
    fn costs(&self) -> Markup {
        let (words, edge) = (self.words, &self.material.report.figures.edge_after_slip);
        let mate = self.material.report.soundness.mate_in();
        match edge.value {
            _ if mate.is_some() => words.costs_mate(mate.map_or(0, u64::from)),
            Some(_) => words.costs(markup(edge, Unit::EdgeTurned, words)),
            None => words.costs_unknown(&why(edge, words)),
        }
    }

    /// How often players fall for it in all their games of that colour.
    pub(super) fn own_slips(&self) -> Markup {
        let (words, level) = (self.words, self.filter);
        let own = &self.material.report.figures.own_slips;
        let (number, side) = (markup(own, Unit::Number, words), self.material.trap.victim());
        let loses = self.material.report.soundness.slip_loses.map(|grounds| grounds.cp);
        match self.material.victim_advice() {
            VictimAdvice::Learn => words.learn(level, number, side),
            VictimAdvice::NoLoss => words.advise_skip(&text_of(&not_lost(loses, words))),
            VictimAdvice::NoCost => words.learn_free(level, number, side),
            _ if own.value.is_none() => words.learn_unknown(level, side, &why(own, words)),
            VictimAdvice::HowOftenOpen => words.learn_few(level, number, side),
            VictimAdvice::CostOpen => words.learn_cost(level, number, side),
            VictimAdvice::AskEngine => words.learn_open(level, number, side),
            VictimAdvice::Skip => words.learn_less(level, number, side),
        }
    }

    /// How many slip.
    fn slipped(&self) -> Markup {
        let (words, level, rate) =
            (self.words, self.filter, &self.material.report.figures.slip_rate);
        let (place, several) = (self.who(true), self.material.report.slips.is_some());
        let of = words.of_whom[place];
        let marked = usize::from(!self.material.report.soundness.slip_is_lost());
        let [one, any] = [words.the_move[marked], words.a_move[marked]];
        match self.share(rate) {
            Some(share) if several => words.slipped_several(of, level, share, any, self.slips()),
            Some(share) => words.slipped(of, level, share, one, self.slips()),
            None => {
                let who = words.who[place];
                words.slipped_unknown(who, level, one, self.slips(), &why(rate, words))
            }
        }
    }

    /// How many refute.
    fn found(&self) -> Markup {
        let (words, level, rate) =
            (self.words, self.filter, &self.material.report.figures.find_rate);
        let (place, several) = (self.who(false), self.material.report.refutations.is_some());
        let of = words.of_whom[place];
        match self.share(rate) {
            Some(share) if several => words.refuted_several(of, level, share, self.refutations()),
            Some(share) => words.refuted(of, level, share, self.refutations()),
            None => words.refuted_unknown(words.who[place], level, &why(rate, words)),
        }
    }

    fn gained(&self) -> Markup {
        let (words, figures) = (self.words, &self.material.report.figures);
        let points = markup(&figures.net, Unit::Points, words);
        let usual = figures.usual.san.as_ref().map(|san| {
            let bait = self.material.trap.bait_ply().unwrap_or_default();
            words.san(&played_at(self.material.trap.line(), bait, san))
        });
        match (figures.net.value, usual) {
            (None, _) => words.netted_unknown(&why(&figures.net, words)),
            (Some(_), None) if figures.net.may_be_zero() => words.netted_open(points),
            (Some(_), None) => words.netted(points),
            (Some(_), Some(usual)) if figures.net.may_be_zero() => {
                words.netted_usual_open(usual, points)
            }
            (Some(_), Some(usual)) => words.netted_usual(usual, points),
        }
    }

    /// What to expect of the next games.
    fn ahead(&self) -> Markup {
        let (words, ahead) = (self.words, &self.material.report.figures.ahead);
        match ahead.range.filter(|_| ahead.expected.value.is_some()) {
            Some(range) => words.ahead(
                ahead.games,
                self.setter(),
                markup(&ahead.expected, Unit::Number, words),
                words.slips_to_expect(range),
                self.percent(&ahead.at_least_one),
            ),
            None => words.ahead_unknown(ahead.games, &why(&ahead.expected, words)),
        }
    }

    /// What the half-move at `ply` is worth remarking: the victim's choices and the refutation.
    pub(super) fn remark(&self, ply: usize) -> Option<Markup> {
        let (report, words) = (&self.material.report, self.words);
        let slip = self.material.trap.slip_ply();
        let (rate, said): (_, Remark) = match ply {
            // Of several the line's own comes first.
            _ if ply == slip => {
                let own = report.slips.as_ref().and_then(|slips| slips.moves.first());
                let rate = own.map_or(&report.figures.slip_rate, |slip| &slip.share);
                (rate, Language::remark_slip)
            }
            _ if ply == slip + 1 => {
                let own = report.refutations.as_ref().and_then(|moves| moves.moves.first());
                let rate = own.map_or(&report.figures.find_rate, |mv| &mv.share);
                (rate, Language::remark_refutation)
            }
            // Choices are the victim's moves before the slip, every second one.
            _ if ply < slip && ply % 2 == slip % 2 => {
                let rate = &report.choices.get(ply / 2)?.share;
                match ply < 2 {
                    true => (rate, Language::remark_first),
                    false => (rate, |_, _, _, share| share),
                }
            }
            _ => return None,
        };
        Some(match self.share(rate) {
            Some(share) => {
                let who = words.of_whom[self.who(ply != slip + 1)];
                said(words, who, self.filter, share)
            }
            None => withheld(rate, words),
        })
    }

    /// A share with its games, if there are any.
    fn share(&self, rate: &Figure) -> Option<Markup> {
        rate.low.map(|_| of_many(rate, Unit::Percent, self.words))
    }

    fn percent(&self, rate: &Figure) -> Markup {
        markup(rate, Unit::Percent, self.words)
    }

    fn slips(&self) -> San {
        marked(&self.material.trap, false, self.words)
    }

    fn refutations(&self) -> San {
        marked(&self.material.trap, true, self.words)
    }

    fn setter(&self) -> Color {
        self.material.trap.setter()
    }
}
