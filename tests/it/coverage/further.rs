//! Joined bands, the ratings at which a curve falls, moves in any order, games that hang together.

use std::collections::BTreeMap;

use deadfall::answers::stats::{
    Factor, Interval, Next, PathId, PathSum, Z_95, falls_below, tango_at, wilson,
};
use deadfall::answers::{Mean, Rate, Sampling};

use super::MIN_SAMPLE;
use super::sampling::Chance;
use super::tally::Tally;

fn ends(low: Option<f64>, high: Option<f64>) -> Interval {
    Interval::new(low.expect("known"), high.expect("known"))
}

/// Bands of 2 to 60 games whose shares fall from one to the next, joined by their counts until 50 are together. The truth is the
/// mean over the games that were joined.
#[test]
fn wilson_covers_joined_bands() {
    let (mut chance, mut tally) = (Chance::seeded(21), Tally::default());
    for _ in 0..4000 {
        let mut share = chance.between(0.1, 0.9);
        let (mut k, mut n, mut truth) = (0, 0, 0.0);
        for _ in 0..25 {
            let games = chance.games(2.0, 60.0);
            k += chance.binomial(games, share);
            n += games;
            truth += games as f64 * share;
            share *= chance.between(0.8, 1.0);
            if n >= MIN_SAMPLE {
                tally.add(wilson(k, n).expect("games"), truth / n as f64);
                (k, n, truth) = (0, 0, 0.0);
            }
        }
    }
    tally.assert_95("Wilson, joined bands");
}

/// Three to 20 bands whose shares fall from about 0.5 to about 0.05, and a level in between.
#[test]
fn the_profile_covers_the_place_where_a_curve_falls() {
    let (mut chance, mut tally) = (Chance::seeded(22), Tally::default());
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
        tally.add(Interval::new(fall.low as f64, fall.high as f64), truth as f64);
    }
    tally.assert_safe("the band from which a curve is below a level");
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
        let mut sum = PathSum::in_clusters(1.0);
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

#[test]
fn the_sum_over_orders_covers_steering_in_any_order() {
    let (mut chance, mut tally) = (Chance::seeded(23), Tally::default());
    for _ in 0..8000 {
        let moves = chance.whole(1, 4);
        let orders = Orders::draw(&mut chance, moves);
        let games = chance.games(500.0, 50_000.0);
        let (sum, start) = orders.play(&mut chance, games);
        if sum.thinnest(start).is_some_and(|(_, n)| n >= MIN_SAMPLE) {
            tally.add(sum.interval(start), orders.truth(0));
        }
    }
    tally.assert_95("a sum over the orders of the moves");
}

/// Clusters of two or three games that all end alike.
#[test]
fn intervals_in_clusters_cover_games_that_hang_together() {
    let (mut chance, mut shares, mut scores) =
        (Chance::seeded(24), Tally::default(), Tally::default());
    for _ in 0..8000 {
        let size = chance.whole(2, 3) as u64;
        let sampling = Sampling { min_sample: MIN_SAMPLE, cluster: size as f64 };
        let (clusters, share) = (chance.games(50.0, 5000.0), chance.between(0.05, 0.95));
        let k = size * chance.binomial(clusters, share);
        let rate = Rate::of(k, size * clusters, sampling);
        shares.add(ends(rate.low, rate.high), share);
        let (win, draw) = (chance.between(0.1, 0.6), chance.between(0.05, 0.3));
        let wins = chance.binomial(clusters, win);
        let draws = chance.binomial(clusters - wins, draw / (1.0 - win));
        let losses = clusters - wins - draws;
        let score = Mean::score(size * wins, size * draws, size * losses, sampling);
        scores.add(ends(score.low, score.high), win + draw / 2.0);
        let whole = tango_at(size * wins, size * draws, size * losses, Z_95).expect("games");
        assert!(score.low <= Some(whole.low) && score.high >= Some(whole.high));
    }
    shares.assert_95("a share of games in clusters");
    scores.assert_95("a mean score of games in clusters");
}
