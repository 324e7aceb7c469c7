//! The size of the test: exactly where the outcomes can be counted through, else by simulation.

use proptest::prelude::*;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

use super::*;
use crate::answers::stats::wilson;

const LEVELS: [f64; 4] = [0.05, 0.01, 0.001, 0.0001];

fn results(wins: u32, draws: u32, losses: u32) -> Results {
    Results { wins: wins.into(), draws: draws.into(), losses: losses.into() }
}

/// Chances of 0..=n successes.
fn binomial(n: u32, p: f64) -> Vec<f64> {
    let mut log = f64::from(n) * (1.0 - p).ln();
    let chance = |k: u32| {
        let now = log.exp();
        log += (f64::from(n - k) / f64::from(k + 1)).ln() + (p / (1.0 - p)).ln();
        now
    };
    (0..=n).map(chance).collect()
}

/// Chance that p is at most each level when wins have the chances `p` and `p` - `null` and
/// nothing is drawn.
fn exact_size(n: [u32; 2], p: f64, null: f64) -> [f64; 4] {
    let chances = [binomial(n[0], p), binomial(n[1], p - null)];
    let likely = |side: usize| chances[side].iter().enumerate().filter(|(_, c)| **c > 1e-12);
    let mut sizes = [0.0; 4];
    for (a, first) in likely(0) {
        for (b, second) in likely(1) {
            let (a, b) = (a as u32, b as u32);
            let p = exceeds_by(results(a, 0, n[0] - a), results(b, 0, n[1] - b), null);
            let rejected = sizes.iter_mut().zip(LEVELS).filter(|(_, level)| p <= *level);
            rejected.for_each(|(size, _)| *size += first * second);
        }
    }
    sizes
}

/// All outcomes of two samples without draws, unequal both ways, at the edge of the null: never
/// above the level. The observed sizes are 0.5 to 0.9 of the level where the chance of winning is
/// between 0.15 and 0.85.
#[test]
fn without_draws_the_exact_size_is_never_above_the_level() {
    for n in [[50, 50], [50, 400], [400, 50], [100, 300], [900, 60]] {
        for p in [0.07, 0.15, 0.3, 0.5, 0.7, 0.85, 0.95] {
            for (size, level) in exact_size(n, p, 0.05).into_iter().zip(LEVELS) {
                assert!(size <= level, "{n:?}, chance {p}: {size} at {level}");
            }
        }
    }
}

#[test]
fn without_draws_the_test_is_not_timid_either() {
    for (size, level) in exact_size([400, 100], 0.5, 0.05).into_iter().zip(LEVELS) {
        assert!(size >= 0.5 * level, "{size} at {level}");
    }
}

/// One sample of games: wins and draws with these chances.
fn sample(random: &mut ChaCha8Rng, n: u32, [win, draw]: [f64; 2]) -> Results {
    let mut sums = [0.0; 3];
    for _ in 0..n {
        let at = random.random::<f64>();
        sums[usize::from(at >= win) + usize::from(at >= win + draw)] += 1.0;
    }
    Results { wins: sums[0], draws: sums[1], losses: sums[2] }
}

/// How often p is at most each level in `times` pairs of samples at the edge of the null.
fn simulated(seed: u64, times: u32, n: [u32; 2], mean: f64, draw: f64) -> [u64; 4] {
    let mut random = ChaCha8Rng::seed_from_u64(seed);
    let chances = |mean: f64| [mean - draw / 2.0, draw];
    let mut hits = [0; 4];
    for _ in 0..times {
        let first = sample(&mut random, n[0], chances(mean));
        let second = sample(&mut random, n[1], chances(mean - 0.05));
        let p = exceeds_by(first, second, 0.05);
        hits.iter_mut().zip(LEVELS).for_each(|(hit, level)| *hit += u64::from(p <= level));
    }
    hits
}

/// Fails if the rate is surely above the level: the lower end of Wilson's interval with z = 3.3,
/// one in 2000.
fn check_size(seed: u64, times: u32, n: [u32; 2], mean: f64, draw: f64) {
    for (hits, level) in simulated(seed, times, n, mean, draw).into_iter().zip(LEVELS) {
        let low = wilson(hits, times.into(), 3.3).expect("samples").low;
        assert!(low <= level, "{n:?}, mean {mean}, draws {draw}: {hits} of {times} at {level}");
    }
}

#[test]
fn with_draws_the_size_is_not_above_the_level() {
    for (seed, n) in [[60, 50], [200, 50], [50, 200]].into_iter().enumerate() {
        for mean in [0.25, 0.5, 0.8] {
            check_size(seed as u64, 3000, n, mean, 0.2);
        }
    }
}

/// A million pairs of samples a case, so that p = 0.0001 is measured as well.
#[test]
#[ignore = "slow: 12 million pairs of samples, 76 s in release"]
fn with_draws_the_size_is_not_above_the_level_far_out() {
    for (seed, n) in [[50, 50], [300, 50], [50, 300]].into_iter().enumerate() {
        for (mean, draw) in [(0.25, 0.3), (0.5, 0.05), (0.5, 0.6), (0.85, 0.15)] {
            check_size(seed as u64, 1_000_000, n, mean, draw);
        }
    }
}

/// Kolmogorov-Smirnov, one sided: p values at the null, one test a seed, are uniform or larger.
/// 1.63 / sqrt(n) is the 1 % limit of the two-sided statistic (Smirnov's table).
#[test]
fn p_values_at_the_null_are_uniform_or_larger() {
    let mut values: Vec<f64> = (0..1500)
        .map(|seed| {
            let mut random = ChaCha8Rng::seed_from_u64(seed);
            let first = sample(&mut random, 230, [0.45, 0.2]);
            exceeds_by(first, sample(&mut random, 70, [0.40, 0.2]), 0.05)
        })
        .collect();
    values.sort_by(f64::total_cmp);
    let n = values.len() as f64;
    let above = values.iter().enumerate().map(|(place, p)| (place + 1) as f64 / n - p);
    let worst = above.fold(0.0, f64::max);
    assert!(worst <= 1.63 / n.sqrt(), "{worst}");
}

/// 45 of 50 against 20 of 50, null 0: the exact one-sided p value of Fisher's test is some 1e-7;
/// the score test without draws has the pooled variance, z = 5.28, before half a step is taken off.
#[test]
fn at_the_null_of_equality_the_variance_is_the_pooled_one() {
    let tail = Tail::under(results(45, 0, 5), results(20, 0, 30), 0.0);
    let [_, mean, variance] = tail.cumulants(0.0);
    let pooled = 65.0 / 100.0 * 35.0 / 100.0 * (2.0 / 50.0);
    assert!(mean.abs() < 1e-9 && (variance - pooled).abs() < 1e-8);
}

/// Likeliest chances, their tail and the saddlepoint found anew with SciPy 1.17.1
/// (`minimize_scalar`, `brentq`, `norm.sf`): samples of all sizes and means, with draws and
/// without, at nulls of both signs.
#[test]
fn p_equals_an_independent_computation() {
    for (first, second, null, p) in [
        ((30, 8, 12), (160, 60, 180), 0.0, 0.0021782810),
        ((160, 60, 180), (20, 8, 32), 0.05, 0.3987417037),
        ((9, 6, 35), (30, 40, 330), 0.05, 0.1443874562),
        ((25, 40, 10), (80, 200, 120), -0.2, 4.96124188e-14),
        ((2, 0, 0), (40, 20, 40), 0.0, 0.2680351291),
        ((60, 0, 0), (500, 100, 400), 0.1, 6.2289024e-11),
        ((45, 0, 5), (20, 0, 30), 0.0, 8.72629808e-8),
        ((50, 0, 50), (50, 0, 50), -0.2, 0.0026544966),
        ((3, 2, 45), (1, 1, 98), 0.0, 0.0429381559),
    ] {
        let [one, other] = [first, second].map(|(w, d, l)| results(w, d, l));
        let found = exceeds_by(one, other, null);
        assert!((found / p - 1.0).abs() < 1e-5, "{first:?} {second:?} {null}: {found}, not {p}");
    }
}

/// By hand: at a mean of 1/2 one win and one loss are likeliest without draws, each
/// with chance 1/2.
#[test]
fn the_likelihood_counts_each_game() {
    assert!((results(1, 0, 1).log_likelihood(0.0) - 0.25f64.ln()).abs() < 1e-12);
}

#[test]
fn effective_results_are_divided_by_a_design_effect_of_at_least_one() {
    assert_eq!(results(40, 20, 16).effective(4.0), results(10, 5, 4));
    assert_eq!(results(40, 20, 16).effective(0.5), results(40, 20, 16));
}

/// A difference of scores is -1 at the least: that even samples differ by no less is beyond doubt
/// false, and one beyond 1 is beyond doubt true.
#[test]
fn nulls_at_the_ends_of_all_differences_and_beyond_are_decided() {
    let even = results(50, 0, 50);
    for null in [-1.0, -5.0] {
        assert!(exceeds_by(even, even, null) < 1e-20, "{null}");
    }
    for null in [1.0, 1.5] {
        assert_eq!(exceeds_by(even, even, null), 1.0);
    }
}

#[test]
fn nothing_and_the_impossible_have_p_one() {
    let all_won = results(60, 0, 0);
    assert_eq!(exceeds_by(all_won, Results::default(), 0.0), 1.0);
    assert_eq!(exceeds_by(Results::default(), all_won, 0.0), 1.0);
    // One game is a sample, if it tells next to nothing.
    assert!(exceeds_by(results(1, 0, 0), results(40, 20, 40), 0.0) < 0.51);
    assert!(exceeds_by(results(40, 20, 40), results(0, 0, 1), 0.0) < 0.51);
    assert_eq!(exceeds_by(all_won, results(0, 0, 60), 1.0), 1.0);
    assert!(exceeds_by(all_won, all_won, 0.0) >= 0.4);
    assert!(exceeds_by(all_won, results(0, 0, 60), 0.05) < 1e-20);
}

proptest! {
    #[test]
    fn p_is_a_chance_and_falls_as_the_null_does(
        a in (0u32..300, 0u32..100, 0u32..300), b in (0u32..300, 0u32..100, 0u32..300), null in -0.5..0.5f64,
    ) {
        let (first, second) = (results(a.0, a.1, a.2 + 1), results(b.0 + 1, b.1, b.2));
        let (p, stricter) = (exceeds_by(first, second, null), exceeds_by(first, second, null + 0.1));
        prop_assert!((0.0..=1.0).contains(&p));
        prop_assert!(p <= stricter + 1e-9, "{p} {stricter}");
    }
}
