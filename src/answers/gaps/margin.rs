//! Shares of games as figures: the one place where they get their intervals.
//!
//! What a student meets is a sum, over the ways through the file, of products of shares at many
//! positions. Value and interval are those of [`PathSum`], as in a trap's `steered_any_order`:
//! independent Jeffreys posteriors of the positions' shares, the delta method over positions and
//! not over ways, a log-normal interval. The games of each position are divided by its design
//! effect, since players come again. The student's own moves have no margin, unless they are
//! learned (`--own level`). A position that comes up after different numbers of half-moves is one
//! node for each of them, which counts its games more than once; with the moves of openings that
//! hardly ever happens.

use super::choices::{Choices, SURE, Turn};
use super::flow::{Fate, Flow};
use crate::answers::stats::{Factor, Interval, Next, PathSum, T_95};
use crate::answers::{Figure, Question, Withheld};
use crate::counts::Lacking;

/// What may happen to a game.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Goal {
    /// It meets no gap and nothing unknown in so many half-moves.
    Answered(u16),
    /// It meets some gap.
    Left,
    /// It comes to where the counts know nothing.
    Unknown,
    /// It meets this gap: the place and the number of the choice.
    Gap(usize, usize),
    /// It comes to this place.
    Comes(usize),
}

/// What shares are made of.
pub(super) struct Margins<'a> {
    pub choices: &'a Choices,
    pub flow: &'a Flow,
    pub question: &'a Question,
    /// What is missing where all games come to before any opponent has chosen, if nothing is
    /// known there.
    pub nothing: Option<Lacking>,
}

impl Margins<'_> {
    /// The share of games with a fate. A share that rests on too few games of different players has
    /// no value, but its interval stands.
    ///
    /// What meets one gap or comes to one place goes through the rarest step on the likeliest way,
    /// whose games are its `n`, and those of them that took it its `k`. The totals are sums over
    /// many ways, most of which do not: their `n` says of how many games of different players a
    /// share with such a margin would be, and is 0 where nothing is left to chance.
    pub fn rate(&self, goal: Goal) -> Figure {
        if let Some(lacking) = self.nothing {
            return self.question.sampling().lacking(lacking).withheld(0);
        }
        let mut sum = PathSum::default();
        match self.paths(&mut sum, goal) {
            // Nothing is left to chance.
            Some(Next::Goal) => Figure::known(1.0, Interval::point(1.0), 0),
            Some(Next::Node(start)) => {
                let (value, interval) = (sum.value(start), sum.interval(start, T_95));
                let thinnest = || sum.thinnest(start).unwrap_or_default();
                match goal {
                    Goal::Gap(..) | Goal::Comes(_) => self.judged(value, interval, thinnest()),
                    Goal::Answered(_) => self.total(value, interval, thinnest()),
                    Goal::Left | Goal::Unknown => self.total(value, interval, self.rarest_step()),
                }
            }
            None => self.never(goal),
        }
    }

    /// A sum over many ways, with the games that its margin is as good as: no fewer than those of
    /// the rarest step.
    fn total(&self, value: f64, interval: Interval, step: Factor) -> Figure {
        let games = as_good_as(value, interval).max(step.effective_games());
        if games.is_infinite() {
            return Figure::known(value, interval, 0);
        }
        // A hair below is a rounding.
        let step = Factor::new(0, (games + 1e-9) as u64);
        Figure { k: None, ..self.judged(value, interval, step) }
    }

    /// The rate of what no game does.
    fn never(&self, goal: Goal) -> Figure {
        let none = Interval::point(0.0);
        let certain = |goal| {
            let mut sum = PathSum::default();
            self.paths(&mut sum, goal) == Some(Next::Goal)
        };
        // Of the unknown this is no estimate: every position that games come to is known.
        if goal == Goal::Unknown || certain(Goal::Answered(u16::MAX)) || certain(Goal::Unknown) {
            return Figure::known(0.0, none, 0);
        }
        let step = self.rarest_step();
        match goal {
            Goal::Gap(..) | Goal::Comes(_) => {
                self.judged(0.0, self.none_of(step), Factor { k: 0, ..step })
            }
            _ => self.total(0.0, self.none_of(step), step),
        }
    }

    /// The rate of a place to which a move leads that nobody played, from a place that `share` of
    /// the games come to.
    pub fn never_from(&self, before: usize, share: f64) -> Figure {
        match self.choices.turns[before] {
            Turn::Choice { own: false, games, effect, .. } => {
                let step = Factor::new(0, games).with_effect(effect);
                let high = (share * self.none_of(step).high).min(1.0);
                self.judged(0.0, Interval::new(0.0, high), step)
            }
            _ => self.never(Goal::Comes(before)),
        }
    }

    /// What a share may be that none of the games at a step has.
    fn none_of(&self, step: Factor) -> Interval {
        let sampling = self.question.sampling().with_effect(step.design_effect);
        let none = sampling.share(0, step.n);
        Interval::new(0.0, none.high.unwrap_or(1.0))
    }

    /// Value and interval with the games of a step, without the value if these are as
    /// good as too few.
    fn judged(&self, value: f64, interval: Interval, step: Factor) -> Figure {
        let Factor { k, n, design_effect } = step;
        let known = Figure::known(value, interval, n).with_k(k).with_effect(design_effect);
        let needed = self.question.sampling().least();
        if step.effective_games() + 1e-9 >= needed as f64 {
            return known;
        }
        let thin = Withheld::Thin { n, n_eff: step.effective_games() as u64, needed };
        Figure { value: None, withheld: Some(thin), ..known }
    }

    /// The rarest step on the likeliest way that is answered; if none is, the first choice of
    /// an opponent.
    fn rarest_step(&self) -> Factor {
        let mut sum = PathSum::default();
        let step = match self.paths(&mut sum, Goal::Answered(u16::MAX)) {
            Some(Next::Node(start)) => sum.thinnest(start),
            _ => None,
        };
        let first = || {
            self.flow.stops.iter().find_map(|stop| match self.choices.turns[stop.place] {
                Turn::Choice { own: false, games, effect, .. } => {
                    Some(Factor::new(0, games).with_effect(effect))
                }
                _ => None,
            })
        };
        step.or_else(first).unwrap_or_default()
    }

    /// Adds the ways that lead to the goal, from the last stop to the first.
    fn paths(&self, sum: &mut PathSum, goal: Goal) -> Option<Next> {
        let stops = &self.flow.stops;
        let order: Vec<usize> = match goal {
            Goal::Answered(ply) => (0..stops.partition_point(|stop| stop.ply <= ply)).collect(),
            Goal::Gap(place, _) | Goal::Comes(place) => self.flow.on_the_way_to(place),
            Goal::Left | Goal::Unknown => (0..stops.len()).collect(),
        };
        let mut found: Vec<Option<Next>> = vec![None; stops.len()];
        let mut lead: Vec<(u64, Next)> = Vec::new();
        for index in order.into_iter().rev() {
            let stop = &stops[index];
            if goal == Goal::Comes(stop.place) {
                found[index] = Some(Next::Goal);
                continue;
            }
            found[index] = match (goal, &stop.fate) {
                (Goal::Answered(ply), _) if stop.ply == ply => Some(Next::Goal),
                (Goal::Answered(_), Fate::Ended) => Some(Next::Goal),
                (Goal::Unknown, Fate::Unknown) => Some(Next::Goal),
                (_, Fate::Ended | Fate::Unknown) => None,
                (_, Fate::Goes(goes)) => {
                    let Turn::Choice { games, effect, choices, .. } =
                        &self.choices.turns[stop.place]
                    else {
                        continue;
                    };
                    lead.clear();
                    let mut out = 0;
                    for (place, (choice, next)) in choices.iter().zip(goes).enumerate() {
                        match next {
                            Some(next) => {
                                lead.extend(found[*next as usize].map(|next| (choice.games, next)))
                            }
                            None if goal == Goal::Left || goal == Goal::Gap(stop.place, place) => {
                                out += choice.games;
                            }
                            None => {}
                        }
                    }
                    if out > 0 {
                        lead.push((out, Next::Goal));
                    }
                    node(sum, *games, *effect, &lead)
                }
            };
        }
        found[0]
    }
}

/// Of how many independent games a share with this margin would be: its variance is value (1 -
/// value) / games.
fn as_good_as(value: f64, interval: Interval) -> f64 {
    let deviation = interval.width() / (2.0 * T_95);
    value * (1.0 - value) / (deviation * deviation)
}

/// A position with the choices that lead on; none if there are none. Where the only move is sure,
/// nothing is chosen.
fn node(sum: &mut PathSum, games: u64, effect: f64, lead: &[(u64, Next)]) -> Option<Next> {
    match lead {
        [] => None,
        [(k, next)] if *k == games && games == SURE => Some(*next),
        _ => Some(Next::Node(sum.node(games, effect, lead))),
    }
}
