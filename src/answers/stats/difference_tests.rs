//! The size of the test: exactly where the outcomes can be counted through, else by simulation.

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
    let mut chances = vec![0.0; n as usize + 1];
    let mut log = f64::from(n) * (1.0 - p).ln();
    for k in 0..=n {
        chances[k as usize] = log.exp();
        log += (f64::from(n - k) / f64::from(k + 1)).ln() + (p / (1.0 - p)).ln();
    }
    chances
}

/// Chance that p is at most each level when wins have chance `p` and `p` - `null`, no draws: all outcomes.
fn exact_size(n: [u32; 2], p: f64, null: f64) -> [f64; 4] {
    let chances = [binomial(n[0], p), binomial(n[1], p - null)];
    let mut sizes = [0.0; 4];
    for (a, first) in chances[0].iter().enumerate().filter(|(_, chance)| **chance > 1e-13) {
        for (b, second) in chances[1].iter().enumerate().filter(|(_, chance)| **chance > 1e-13) {
            let (a, b) = (a as u32, b as u32);
            let value = exceeds_by(results(a, 0, n[0] - a), results(b, 0, n[1] - b), null);
            for (size, level) in sizes.iter_mut().zip(LEVELS) {
                *size += if value <= level { first * second } else { 0.0 };
            }
        }
    }
    sizes
}

#[test]
fn print_sizes() {
    for n in [[50, 50], [50, 400], [400, 50], [100, 300], [900, 60]] {
        for p in [0.07, 0.15, 0.3, 0.5, 0.7, 0.85, 0.95] {
            let sizes = exact_size(n, p, 0.05);
            let ratio: Vec<String> =
                sizes.iter().zip(LEVELS).map(|(s, l)| format!("{:.2}", s / l)).collect();
            println!("{n:?} {p} {ratio:?}");
        }
    }
    let _ = (wilson(1, 2), ChaCha8Rng::seed_from_u64(1).random::<f64>());
}
