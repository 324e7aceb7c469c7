//! The ratings at which a curve falls, moves in any order, games that hang together.

use std::collections::BTreeMap;

use deadfall::answers::Sampling;
use deadfall::answers::stats::{
    Factor, Interval, Next, PathId, PathSum, Z_95, falls_below, tango_at,
};

use super::sampling::Chance;
use super::tally::Tallies;

/// The smallest sample that a rate is given for.
const MIN_SAMPLE: u64 = 50;

/// All of them.
pub fn tallies() -> Tallies {
    let mut tallies = Tallies::default();
    places_where_a_curve_falls(&mut tallies);
    any_order(&mut tallies);
    clusters(&mut tallies);
    tallies
}

/// Three to 20 bands whose shares fall from about 0.5 to about 0.05, and a level in between.
fn places_where_a_curve_falls(tallies: &mut Tallies) {
    let mut chance = Chance::seeded(22);
    for _ in 0..6000 {
        let bands = chance.whole(3, 20);
        let (mut share, level) = (chance.between(0.3, 0.6), chance.between(0.05, 0.5));
        let step = chance.between(0.6, 0.97);
        let games = chance.spread(20.0, 2000.0);
        let (mut groups, mut shares) = (Vec::new(), Vec::new());
        for _ in 0..bands {
            let n = chance.games(games / 2.0, games * 2.0);
            groups.push(Factor::new(chance.binomial(n, share), n));
            shares.push(share);
            share *= step;
        }
        let truth = shares.iter().position(|&share| share < level).unwrap_or(bands);
        let fall = falls_below(&groups, level, 1.0).expect("games");
        let interval = Interval::new(fall.low as f64, fall.high as f64);
        tallies.add("band from which fewer slip", interval, truth as f64);
    }
}

/// Positions by the set of moves played, with the true share of each move.
struct Orders {
    moves: usize,
    shares: BTreeMap<(u32, usize), f64>,
}

impl Orders {
    /// The first order of the moves is the likely one; others are played now and then, or hardly ever.
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

    /// Games flow from the first position; the setter plays on in some of them.
    fn play(&self, chance: &mut Chance, games: u64) -> (PathSum, PathId) {
        let mut here: BTreeMap<u32, u64> = BTreeMap::from([(0, games)]);
        let mut counts: BTreeMap<u32, (u64, Vec<(usize, u64)>)> = BTreeMap::new();
        for played in 0..self.goal() {
            let n = here.get(&played).copied().unwrap_or(0);
            let (mut left, mut rest, mut made) = (n, 1.0, Vec::new());
            for mv in (0..self.moves).filter(|mv| played & (1 << mv) == 0) {
                let share = self.shares[&(played, mv)];
                let k = chance.binomial(left, share / rest);
                (left, rest) = (left - k, rest - share);
                let setter = chance.between(0.4, 1.6).min(1.0);
                *here.entry(played | 1 << mv).or_default() += chance.binomial(k, setter);
                made.push((mv, k));
            }
            counts.insert(played, (n, made));
        }
        let mut sum = PathSum::default();
        let mut ids: BTreeMap<u32, PathId> = BTreeMap::new();
        for played in (0..self.goal()).rev() {
            let (n, made) = &counts[&played];
            let next = |mv: usize| match played | 1 << mv {
                all if all == self.goal() => Next::Goal,
                other => Next::Node(ids[&other]),
            };
            let choices: Vec<(u64, Next)> = made.iter().map(|&(mv, k)| (k, next(mv))).collect();
            ids.insert(played, sum.node(*n, &choices));
        }
        (sum, ids[&0])
    }
}

fn any_order(tallies: &mut Tallies) {
    let mut chance = Chance::seeded(23);
    for _ in 0..8000 {
        let moves = chance.whole(1, 4);
        let orders = Orders::draw(&mut chance, moves);
        let games = chance.games(500.0, 50_000.0);
        let (sum, start) = orders.play(&mut chance, games);
        if sum.thinnest(start).is_some_and(|step| step.n >= MIN_SAMPLE) {
            tallies.add("in any order, several orders", sum.interval(start), orders.truth(0));
        }
    }
}

/// Clusters of two or three games that all end alike.
fn clusters(tallies: &mut Tallies) {
    let mut chance = Chance::seeded(24);
    for _ in 0..8000 {
        let size = chance.whole(2, 3) as u64;
        let sampling = Sampling::from(MIN_SAMPLE).with_effect(size as f64);
        let (clusters, share) = (chance.games(50.0, 5000.0), chance.between(0.05, 0.95));
        let k = size * chance.binomial(clusters, share);
        let rate = sampling.share(k, size * clusters);
        tallies.figure("slip rate, games in clusters", &rate, share);
        let (win, draw) = (chance.between(0.1, 0.6), chance.between(0.05, 0.3));
        let wins = chance.binomial(clusters, win);
        let draws = chance.binomial(clusters - wins, draw / (1.0 - win));
        let losses = clusters - wins - draws;
        let score = sampling.score(size * wins, size * draws, size * losses);
        tallies.figure("score, games in clusters", &score, win + draw / 2.0);
        let whole = tango_at(size * wins, size * draws, size * losses, Z_95).expect("games");
        assert!(score.low <= Some(whole.low) && score.high >= Some(whole.high));
    }
}
