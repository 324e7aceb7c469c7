//! The formulas one by one with games of players who all play once.
//!
//! Counts are those of practice: 500 to 50,000 games at the top of a line, and at every later
//! choice the games that made the choice before. A rate that rests on fewer than 50 games is
//! withheld, so such samples are left out. `--nocapture` shows the figures.

use deadfall::answers::stats::{
    Factor, Interval, Part, Z_95, combine, mean_score, product, product_interval, tango, wilson,
};

use super::sampling::Chance;
use super::tally::Tally;

/// The smallest sample that a rate is given for.
const MIN_SAMPLE: u64 = 50;

/// A line of choices: counts drawn, and the true product of the shares.
struct Line {
    factors: Vec<Factor>,
    truth: f64,
}

impl Line {
    /// `shares` drawn one after the other; between two choices the setter plays on in all or some
    /// of the games.
    fn draw(chance: &mut Chance, shares: &[f64]) -> Self {
        let mut n = chance.games(500.0, 50_000.0);
        let mut factors = Vec::new();
        for &share in shares {
            let k = chance.binomial(n, share);
            factors.push(Factor::new(k, n));
            let setter = chance.between(0.2, 1.8).min(1.0);
            n = chance.binomial(k, setter);
        }
        let truth = shares.iter().product();
        Self { factors, truth }
    }

    fn is_given(&self) -> bool {
        self.factors.iter().all(|factor| factor.n >= MIN_SAMPLE)
    }
}

/// A mean score with its truth.
struct Score {
    value: f64,
    interval: Interval,
    truth: f64,
}

impl Score {
    fn draw(chance: &mut Chance, games: u64) -> Self {
        let draw = chance.between(0.0, 0.35);
        let win = (1.0 - draw) * chance.between(0.1, 0.9);
        let wins = chance.binomial(games, win);
        let draws = chance.binomial(games - wins, draw / (1.0 - win));
        let losses = games - wins - draws;
        Self {
            value: mean_score(wins, draws, losses).expect("games"),
            interval: tango(wins, draws, losses, Z_95).expect("games"),
            truth: win + draw / 2.0,
        }
    }

    fn part(&self, derivative: f64) -> Part {
        Part::new(derivative, self.value, self.interval)
    }
}

fn share_part(derivative: f64, k: u64, n: u64) -> Part {
    let value = k as f64 / n as f64;
    Part::new(derivative, value, wilson(k, n, Z_95).expect("games"))
}

fn product_part(derivative: f64, factors: &[Factor]) -> Part {
    Part::new(derivative, product(factors), product_interval(factors, Z_95))
}

#[test]
fn wilson_covers_shares() {
    let (mut chance, mut tally) = (Chance::seeded(1), Tally::default());
    for _ in 0..10_000 {
        let (n, share) = (chance.games(50.0, 50_000.0), chance.between(0.02, 0.98));
        let k = chance.binomial(n, share);
        tally.add(wilson(k, n, Z_95).expect("games"), share);
    }
    assert_95(&tally, "Wilson, a share");
}

#[test]
fn tango_covers_mean_scores() {
    let (mut chance, mut tally) = (Chance::seeded(2), Tally::default());
    for _ in 0..10_000 {
        let games = chance.games(50.0, 50_000.0);
        let score = Score::draw(&mut chance, games);
        tally.add(score.interval, score.truth);
    }
    assert_95(&tally, "Tango, a mean score");
}

#[test]
fn combining_covers_differences_of_scores() {
    let (mut chance, mut tally) = (Chance::seeded(3), Tally::default());
    for _ in 0..10_000 {
        let games = (chance.games(50.0, 50_000.0), chance.games(50.0, 5000.0));
        let first = Score::draw(&mut chance, games.0);
        let second = Score::draw(&mut chance, games.1);
        let parts = [first.part(1.0), second.part(-1.0)];
        let interval = combine(first.value - second.value, &parts);
        tally.add(interval, first.truth - second.truth);
    }
    assert_95(&tally, "a difference of two scores");
}

/// Slips per 1000 steered games: two to five shares of .05 to .9.
#[test]
fn the_product_covers_slips_per_thousand() {
    let (mut chance, mut tally) = (Chance::seeded(4), Tally::default());
    for _ in 0..20_000 {
        let shares: Vec<f64> = (0..chance.whole(2, 5)).map(|_| chance.spread(0.05, 0.9)).collect();
        let shares: Vec<f64> = shares.iter().map(|&s| chance.perturbed(s)).collect();
        let line = Line::draw(&mut chance, &shares);
        if line.is_given() {
            let interval = product_interval(&line.factors, Z_95).scale(1000.0);
            tally.add(interval, 1000.0 * line.truth);
        }
    }
    assert_95(&tally, "a product of shares, slips per 1000");
}

/// As above with a last share of .003 to .05: the slip is often seen a few times only, or never.
#[test]
fn the_product_covers_rare_slips() {
    let (mut chance, mut tally) = (Chance::seeded(5), Tally::default());
    for _ in 0..20_000 {
        let mut shares: Vec<f64> =
            (0..chance.whole(1, 3)).map(|_| chance.spread(0.05, 0.9)).collect();
        shares.push(chance.spread(0.003, 0.05));
        let line = Line::draw(&mut chance, &shares);
        if line.is_given() {
            tally.add(product_interval(&line.factors, Z_95), line.truth);
        }
    }
    assert_95(&tally, "a product of shares with a rare slip");
}

/// Points per 1000 games that go with one of two replies: chance of the position x share of the
/// other reply x difference of the two scores. The two replies' games are disjoint, so the parts
/// are independent.
#[test]
fn combining_covers_a_chance_times_a_difference() {
    let (mut chance, mut tally) = (Chance::seeded(9), Tally::default());
    for _ in 0..10_000 {
        let (shares, find) =
            ([chance.spread(0.2, 0.9), chance.spread(0.1, 0.9)], chance.between(0.2, 0.8));
        let line = Line::draw(&mut chance, &shares);
        let games = line.factors[1].k;
        let found = chance.binomial(games, find);
        let missed = games - found;
        if !line.is_given() || found.min(missed) < MIN_SAMPLE {
            continue;
        }
        let (knows, others) = (Score::draw(&mut chance, found), Score::draw(&mut chance, missed));
        let (p, miss, gain) =
            (product(&line.factors), missed as f64 / games as f64, knows.value - others.value);
        let parts = [
            product_part(1000.0 * miss * gain, &line.factors),
            share_part(1000.0 * p * gain, missed, games),
            knows.part(1000.0 * p * miss),
            others.part(-1000.0 * p * miss),
        ];
        let truth = 1000.0 * line.truth * (1.0 - find) * (knows.truth - others.truth);
        tally.add(combine(1000.0 * p * miss * gain, &parts), truth);
    }
    assert_95(&tally, "a chance times a difference of scores");
}

/// Points per 1000 games of a plan: chance of the position x (slip x score after it + no slip x
/// score then - score of the alternative).
#[test]
fn combining_covers_a_chance_times_a_mixture() {
    let (mut chance, mut tally) = (Chance::seeded(10), Tally::default());
    for _ in 0..10_000 {
        let (way, slip) = (chance.spread(0.2, 0.9), chance.spread(0.1, 0.9));
        let line = Line::draw(&mut chance, &[way]);
        let at = line.factors[0].k;
        let slips = chance.binomial(at, slip);
        if slips.min(at - slips) < MIN_SAMPLE {
            continue;
        }
        let usual_games = chance.games(200.0, 20_000.0);
        let after = Score::draw(&mut chance, slips);
        let without = Score::draw(&mut chance, at - slips);
        let usual = Score::draw(&mut chance, usual_games);
        let (p, q) = (product(&line.factors), slips as f64 / at as f64);
        let gain = q * after.value + (1.0 - q) * without.value - usual.value;
        let parts = [
            product_part(1000.0 * gain, &line.factors),
            share_part(1000.0 * p * (after.value - without.value), slips, at),
            after.part(1000.0 * p * q),
            without.part(1000.0 * p * (1.0 - q)),
            usual.part(-1000.0 * p),
        ];
        let true_gain = slip * after.truth + (1.0 - slip) * without.truth - usual.truth;
        tally.add(combine(1000.0 * p * gain, &parts), 1000.0 * way * true_gain);
    }
    assert_95(&tally, "a chance times a mixture of scores");
}

/// Asserts that 93 to 97 % of the intervals hold the truth. From 4000 samples the chance error is
/// 0.35 %, so a right 95 % interval does not leave that range by chance.
#[expect(clippy::print_stdout, reason = "--nocapture shows the figures")]
fn assert_95(tally: &Tally, what: &str) {
    let (drawn, held) = (tally.drawn(), tally.held());
    println!(
        "{what}: {held:.4} of {drawn} hold the truth; {} truths lie below, {} above",
        tally.below, tally.above
    );
    assert!(drawn >= 4000, "{what}: only {drawn} samples");
    assert!((0.93..=0.97).contains(&held), "{what}: coverage {held:.4}");
}
