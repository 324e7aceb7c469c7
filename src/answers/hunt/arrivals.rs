//! How often a student with a repertoire comes to a position.

use std::collections::HashMap;

use shakmaty::Position;

use super::Hunt;
use super::flow::Flow;
use super::reach::{Hits, log_variance, visits};
use super::rules::Repertoire;
use super::walk::{PositionId, Walk};
use crate::answers::effect::design_effect;
use crate::answers::stats::{Interval, T_95};
use crate::answers::trap::Cache;
use crate::answers::{Figure, Question};
use crate::counts::Counts;
use crate::terms::{Key, MoveCode};

/// How often a student with a repertoire comes to positions; without one there is nothing to know.
pub(super) struct Arrivals<'a> {
    known: Option<Known<'a>>,
}

struct Known<'a> {
    walk: &'a Walk,
    flow: &'a Flow,
    question: &'a Question,
    line: Stretch,
    visits: Vec<f64>,
    hits: Hits,
    /// D of the shares in positions before, as far as they were asked for.
    effects: HashMap<PositionId, f64>,
}

/// A part of the line.
#[derive(Clone, Copy)]
struct Stretch {
    chance: f64,
    /// Variance of the logarithm of the chance.
    variance: f64,
    thinnest: Games,
}

/// Games that a step was learned from.
#[derive(Clone, Copy)]
struct Games {
    n: u64,
    design_effect: f64,
}

impl Games {
    fn fewer(self, other: Games) -> Games {
        let effective = |games: Games| games.n as f64 / games.design_effect;
        if effective(other) < effective(self) { other } else { self }
    }
}

impl<'a> Arrivals<'a> {
    pub fn of<C: Counts>(
        cache: &Cache<'_, C>,
        hunt: &Hunt,
        question: &'a Question,
        walk: &'a Walk,
        flow: &'a Flow,
    ) -> Result<Arrivals<'a>, C::Error> {
        let Some(repertoire) = &hunt.repertoire else { return Ok(Arrivals { known: None }) };
        let positions = walk.positions.len();
        let known = Known {
            walk,
            flow,
            question,
            line: line(cache, hunt, question, repertoire)?,
            visits: visits(flow, positions),
            hits: Hits::for_positions(positions),
            effects: HashMap::new(),
        };
        Ok(Arrivals { known: Some(known) })
    }

    /// Whether any game of the student goes through the hunt's line.
    pub fn leads_behind_the_line(&self) -> bool {
        self.known.as_ref().is_none_or(|known| known.line.chance > 0.0)
    }

    /// The share of the student's games that come to a position by any order of moves; `path`
    /// is the likeliest one. It rests on the games of the thinnest step of that. None without
    /// a repertoire.
    pub fn rate<C: Counts>(
        &mut self,
        cache: &Cache<'_, C>,
        at: PositionId,
        path: &[MoveCode],
    ) -> Result<Option<Figure>, C::Error> {
        let Some(known) = &mut self.known else { return Ok(None) };
        known.rate(cache, at, path).map(Some)
    }
}

impl Known<'_> {
    fn rate<C: Counts>(
        &mut self,
        cache: &Cache<'_, C>,
        at: PositionId,
        path: &[MoveCode],
    ) -> Result<Figure, C::Error> {
        let Known { walk, flow, question, line, visits, hits, effects } = self;
        let mut effect = |id: PositionId| match effects.get(&id) {
            Some(&known) => Ok(known),
            None => {
                let found = cache.uncached(walk.at(id).key)?;
                let share = design_effect(found.as_ref(), question.filter).share;
                effects.insert(id, share);
                Ok(share)
            }
        };
        let mut thinnest = line.thinnest;
        let mut id = PositionId::START;
        for &code in path {
            let n = flow.learned[id.index()];
            if n > 0 {
                thinnest = thinnest.fewer(Games { n, design_effect: effect(id)? });
            }
            id = walk.behind(id, code).expect("the path is of the walk");
        }
        hits.find(flow, at);
        let value = hits.from(PositionId::START) * line.chance;
        let variance = line.variance + log_variance(flow, hits, at, visits, effect)?;
        let sampling = question.sampling().with_effect(thinnest.design_effect);
        if !sampling.suffices(thinnest.n) {
            return Ok(sampling.withheld(thinnest.n));
        }
        let interval = log_normal(value, variance);
        let figure = Figure::known(value, interval, thinnest.n);
        Ok(figure.with_effect(thinnest.design_effect))
    }
}

/// The 95 % interval of a chance whose logarithm is normal.
pub(super) fn log_normal(value: f64, variance: f64) -> Interval {
    let half = T_95 * variance.sqrt();
    Interval::new(value * (-half).exp(), (value * half.exp()).min(1.0).max(value))
}

/// The chance to come through the hunt's line.
fn line<C: Counts>(
    cache: &Cache<'_, C>,
    hunt: &Hunt,
    question: &Question,
    repertoire: &Repertoire,
) -> Result<Stretch, C::Error> {
    let all = cache.totals().sum(hunt.victim(), question.filter).games;
    // With nothing learned the figure rests on all games.
    let thinnest = Games { n: all, design_effect: 1.0 };
    let mut passed = Stretch { chance: 1.0, variance: 0.0, thinnest };
    let never = Stretch { chance: 0.0, ..passed };
    for (ply, &mv) in hunt.line.moves().iter().enumerate() {
        let position = hunt.line.position(ply);
        let (key, code) = (Key::of(position), MoveCode::of(mv));
        let fixed = repertoire.at(key).filter(|_| position.turn() == hunt.setter);
        if fixed.is_some_and(|codes| !codes.contains(&code)) {
            return Ok(never);
        }
        let found = cache.position(key)?;
        let games = |wanted: &dyn Fn(MoveCode) -> bool| -> u64 {
            let moves = found.iter().flat_map(|found| &found.moves);
            let moves = moves.filter(|mv| wanted(mv.code));
            moves.map(|mv| mv.games(question.filter)).sum()
        };
        let here = games(&|other| other == code);
        let all = games(&|other| fixed.is_none_or(|codes| codes.contains(&other)));
        match fixed {
            Some(codes) if codes.len() == 1 => {}
            Some(codes) if all == 0 => passed.chance /= codes.len() as f64,
            _ if here == 0 => return Ok(never),
            Some(_) => passed.chance *= here as f64 / all as f64,
            None => {
                let share = here as f64 / all as f64;
                let design_effect = design_effect(found.as_deref(), question.filter).share;
                passed.chance *= share;
                passed.variance += design_effect * (1.0 - share) / here as f64;
                passed.thinnest = passed.thinnest.fewer(Games { n: all, design_effect });
            }
        }
    }
    Ok(passed)
}
