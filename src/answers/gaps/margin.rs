//! Shares of games as rates: the one place where they get their intervals.
//!
//! What a student meets is a sum, over the ways through the file, of products of shares at many positions. Value and
//! interval are those of [`PathSum`], as in a trap's `steered_any_order`: independent Jeffreys posteriors of the
//! positions' shares, the delta method over positions and not over ways, a log-normal interval. The student's own moves
//! have no margin, unless they are learned (`--own level`). A position that comes up after different numbers of
//! half-moves is one node for each of them, which counts its games more than once; with the moves of openings that
//! hardly ever happens.

use super::choices::{Choices, Node, SURE};
use super::flow::{Fate, Flow};
use crate::answers::stats::{Interval, Next, PathSum};
use crate::answers::{Question, Rate, Withheld};

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

/// What rates are made of.
pub(super) struct Margins<'a> {
    pub choices: &'a Choices,
    pub flow: &'a Flow,
    pub question: &'a Question,
}

impl Margins<'_> {
    /// The share of games with a fate. Its `n` is the games of the rarest step on the likeliest way to it, `k` those of
    /// them that took it; below the minimum sample it is withheld.
    pub fn rate(&self, goal: Goal) -> Rate {
        let mut sum = PathSum::in_clusters(self.question.cluster);
        let needed = self.question.min_sample.max(1);
        let start = match self.paths(&mut sum, goal) {
            Some(Next::Node(start)) => start,
            // Nothing is left to chance, or nothing leads there.
            Some(Next::Goal) => return Rate::known(1.0, Interval::point(1.0), 0, 0),
            None => return self.never(goal),
        };
        let value = sum.value(start);
        match sum.thinnest(start) {
            Some((k, n)) if n >= needed => Rate::known(value, sum.interval(start), k, n),
            Some((k, n)) => Rate::withheld(k, n, Withheld::TooFew { n, needed }),
            None => self.never(goal),
        }
    }

    /// The rate of what no game does: of as many games as the rarest step of those that are answered, or of the first choice.
    fn never(&self, goal: Goal) -> Rate {
        let certain = |goal| {
            let mut sum = PathSum::in_clusters(1.0);
            self.paths(&mut sum, goal) == Some(Next::Goal)
        };
        if certain(Goal::Answered(u16::MAX)) || certain(Goal::Unknown) {
            return Rate::known(0.0, Interval::point(0.0), 0, 0);
        }
        match goal {
            Goal::Answered(_) => Rate::of(0, self.first_choice(), self.question.sampling()),
            // This is no estimate: every position that games come to is known.
            Goal::Unknown => {
                let n = self.rate(Goal::Answered(u16::MAX)).n;
                Rate::known(0.0, Interval::point(0.0), 0, n)
            }
            _ => {
                let n = self.rate(Goal::Answered(u16::MAX)).n;
                Rate::of(0, n, self.question.sampling())
            }
        }
    }

    /// Games in the first position in which an opponent chooses.
    fn first_choice(&self) -> u64 {
        let games = self.flow.stops.iter().find_map(|stop| match self.choices.nodes[stop.place] {
            Node::Choice { own: false, games, .. } => Some(games),
            _ => None,
        });
        games.unwrap_or(0)
    }

    /// Adds the ways that lead to the goal, from the last stop to the first.
    fn paths(&self, sum: &mut PathSum, goal: Goal) -> Option<Next> {
        let stops = &self.flow.stops;
        let last = match goal {
            Goal::Answered(ply) => stops.partition_point(|stop| stop.ply <= ply),
            _ => stops.len(),
        };
        let mut found: Vec<Option<Next>> = vec![None; last];
        let mut lead: Vec<(u64, Next)> = Vec::new();
        for (index, stop) in stops[..last].iter().enumerate().rev() {
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
                    let Node::Choice { games, choices, .. } = &self.choices.nodes[stop.place]
                    else {
                        continue;
                    };
                    lead.clear();
                    let mut out = 0;
                    for (place, (choice, next)) in choices.iter().zip(goes).enumerate() {
                        match next {
                            Some(next) => lead.extend(
                                found[*next as usize].map(|next| (choice.games, next)),
                            ),
                            None if goal == Goal::Left
                                || goal == Goal::Gap(stop.place, place) =>
                            {
                                out += choice.games;
                            }
                            None => {}
                        }
                    }
                    if out > 0 {
                        lead.push((out, Next::Goal));
                    }
                    node(sum, *games, &lead)
                }
            };
        }
        found[0]
    }
}

/// A position with the choices that lead on; none if there are none. Where the only move is sure, nothing is chosen.
fn node(sum: &mut PathSum, games: u64, lead: &[(u64, Next)]) -> Option<Next> {
    match lead {
        [] => None,
        [(k, next)] if *k == games && games == SURE => Some(*next),
        _ => Some(Next::Node(sum.node(games, lead))),
    }
}
