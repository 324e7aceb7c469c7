//! The ratings at which a curve falls, and moves in any order, where players come again.

use std::collections::BTreeMap;

use deadfall::answers::stats::{
    ByGroup, DesignEffect, Factor, GROUPS, Interval, Margin, Next, PathId, PathSum, T_95,
    falls_below,
};

use super::choices::{MIN_SAMPLE, play, sum, together};
use super::players::{Activity, CORRELATION, crowd};
use super::sampling::Chance;
use super::tally::Tallies;

/// Three to 20 bands whose shares fall from about 0.5 to about 0.05, and a level in between.
pub fn place_where_a_curve_falls(
    chance: &mut Chance,
    activity: &Activity,
    effect: f64,
    tallies: &mut Tallies,
) {
    let bands = chance.whole(3, 20);
    let (mut share, level) = (chance.between(0.3, 0.6), chance.between(0.05, 0.5));
    let step = chance.between(0.6, 0.97);
    let games = effect * chance.spread(20.0, 500.0);
    let (mut counts, mut shares) = (Vec::new(), Vec::new());
    let mut moves = [[0; GROUPS]; 2];
    for _ in 0..bands {
        let n = chance.games(games / 2.0, games * 2.0);
        let mut players = crowd(chance, activity, n);
        let here = play(chance, &mut players, &[share, 1.0 - share], CORRELATION);
        counts.push(Factor::new(sum(&here[0]), n));
        for (all, part) in moves.iter_mut().zip(&here) {
            *all = together(&[*all, *part]);
        }
        shares.push(share);
        share *= step;
    }
    let truth = shares.iter().position(|&share| share < level).unwrap_or(bands);
    let margin = Margin::of(DesignEffect::of(&moves).share);
    let fall = falls_below(&counts, level, margin).expect("games");
    let interval = Interval::new(fall.low as f64, fall.high as f64);
    tallies.add("band from which fewer slip", interval, truth as f64);
}

/// Positions by the set of moves played, with the true share of each move.
struct Orders {
    moves: usize,
    shares: BTreeMap<(u32, usize), f64>,
}

impl Orders {
    /// The first order of the moves is the likely one; others are played now and then, or
    /// hardly ever.
    fn draw(chance: &mut Chance, moves: usize) -> Self {
        let mut shares = BTreeMap::new();
        let seldom = chance.spread(0.02, 0.5);
        for played in 0..(1u32 << moves) - 1 {
            let open: Vec<usize> = (0..moves).filter(|mv| played & (1 << mv) == 0).collect();
            let mut left = chance.between(0.5, 0.95);
            for (place, mv) in open.into_iter().enumerate() {
                let part = if place == 0 { chance.between(0.3, 0.9) } else { seldom };
                shares.insert((played, mv), left * part);
                left *= 1.0 - part;
            }
        }
        Self { moves, shares }
    }

    fn goal(&self) -> u32 {
        (1 << self.moves) - 1
    }

    fn truth(&self, played: u32) -> f64 {
        if played == self.goal() {
            return 1.0;
        }
        let open = (0..self.moves).filter(|mv| played & (1 << mv) == 0);
        open.map(|mv| self.shares[&(played, mv)] * self.truth(played | 1 << mv)).sum()
    }

    /// Games flow from the first position; the setter plays on in some of them. The chance of the
    /// goal with its start, and the effective games of the rarest position on the likeliest way.
    fn play(&self, chance: &mut Chance, activity: &Activity, games: u64) -> (PathSum, PathId, f64) {
        let mut here: BTreeMap<u32, u64> = BTreeMap::from([(0, games)]);
        let mut counts: BTreeMap<u32, (DesignEffect, Vec<(usize, u64)>)> = BTreeMap::new();
        for played in 0..self.goal() {
            let n = here.get(&played).copied().unwrap_or(0);
            let open: Vec<usize> = (0..self.moves).filter(|mv| played & (1 << mv) == 0).collect();
            let mut shares: Vec<f64> = open.iter().map(|&mv| self.shares[&(played, mv)]).collect();
            shares.push(1.0 - shares.iter().sum::<f64>());
            let mut players = crowd(chance, activity, n);
            let moves: Vec<ByGroup> = play(chance, &mut players, &shares, CORRELATION);
            let mut made = Vec::new();
            for (&mv, games) in open.iter().zip(&moves) {
                let k = sum(games);
                let setter = chance.between(0.4, 1.6).min(1.0);
                *here.entry(played | 1 << mv).or_default() += chance.binomial(k, setter);
                made.push((mv, k));
            }
            counts.insert(played, (DesignEffect::of(&moves), made));
        }
        let mut path = PathSum::default();
        let mut ids = BTreeMap::<u32, PathId>::new();
        for played in (0..self.goal()).rev() {
            let (effect, made) = &counts[&played];
            let next = |mv: usize| match played | 1 << mv {
                all if all == self.goal() => Next::Goal,
                other => Next::Node(ids[&other]),
            };
            let choices: Vec<(u64, Next)> = made.iter().map(|&(mv, k)| (k, next(mv))).collect();
            let id = path.node(effect.games, effect.share, &choices);
            ids.insert(played, id);
        }
        let start = ids[&0];
        let thinnest = path.thinnest(start).map_or(0, |step| step.n);
        let effect = counts.values().map(|(effect, _)| effect).find(|all| all.games == thinnest);
        (path, start, effect.map_or(0.0, |effect| effect.effective_games()))
    }
}

/// The chance of a position that one to four moves of a side lead to in any order.
pub fn any_order(chance: &mut Chance, activity: &Activity, effect: f64, tallies: &mut Tallies) {
    let moves = chance.whole(1, 4);
    let orders = Orders::draw(chance, moves);
    let games = (effect * chance.spread(500.0, 10_000.0)) as u64;
    let (sum, start, least) = orders.play(chance, activity, games);
    if least >= MIN_SAMPLE {
        tallies.add("in any order, several orders", sum.interval(start, T_95), orders.truth(0));
    }
}
