//! Random draws that are the same on every machine: integers from ChaCha8, and of floating-point
//! arithmetic only the four operations, which IEEE 754 fixes to the last bit.

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};

/// The quantiles of thinking times at sixteenths, and their mean.
const STEPS: [f64; 17] = [
    0.03, 0.10, 0.17, 0.24, 0.31, 0.38, 0.46, 0.55, 0.65, 0.76, 0.90, 1.07, 1.28, 1.57, 2.00, 2.90,
    6.00,
];
const SKEWED_MEAN: f64 = 1.022;

/// A stream of draws.
pub struct Dice(ChaCha8Rng);

impl Dice {
    /// Stream number `stream` of `seed`; different streams are independent.
    pub fn new(seed: u64, stream: u64) -> Dice {
        let mut rng = ChaCha8Rng::seed_from_u64(seed);
        rng.set_stream(stream);
        Dice(rng)
    }

    /// A whole number in `0..n`, `n` at least 1. The bias of n / 2^32 is far below anything
    /// counted here.
    pub fn below(&mut self, n: u32) -> u32 {
        ((u64::from(self.0.next_u32()) * u64::from(n)) >> 32) as u32
    }

    /// A whole number in `low..=high`.
    pub fn between(&mut self, low: i32, high: i32) -> i32 {
        low + self.below((high - low + 1) as u32) as i32
    }

    /// True with probability `of_ten_thousand` / 10,000, exactly up to the bias of [`Dice::below`].
    pub fn chance(&mut self, of_ten_thousand: u32) -> bool {
        self.below(10_000) < of_ten_thousand
    }

    /// Uniform in [0, 1).
    pub fn unit(&mut self) -> f64 {
        f64::from(self.0.next_u32()) / 4_294_967_296.0
    }

    /// Roughly normal with mean 0 and standard deviation 1: twelve uniform numbers
    /// added up, less 6.
    pub fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.unit()).sum::<f64>() - 6.0
    }

    /// A cheap bell-shaped number with mean 0 and standard deviation 1 (four uniform numbers from
    /// one draw), for noise on move scores.
    pub fn bell(&mut self) -> f64 {
        let bits = self.0.next_u64();
        let sum: u64 = (0..4).map(|i| (bits >> (16 * i)) & 0xffff).sum();
        (sum as f64 / 65_536.0 - 2.0) * 1.732
    }

    /// Skewed like thinking times: positive, mean 1, one in ten above 2.2.
    pub fn skewed(&mut self) -> f64 {
        let at = self.unit() * 16.0;
        let step = at as usize;
        (STEPS[step] + (STEPS[step + 1] - STEPS[step]) * (at - step as f64)) / SKEWED_MEAN
    }

    /// The probability that [`Dice::skewed`] is below `x`.
    pub fn skewed_below(x: f64) -> f64 {
        let x = x * SKEWED_MEAN;
        let Some(step) = STEPS.iter().rposition(|&step| step <= x) else { return 0.0 };
        match STEPS.get(step + 1) {
            Some(next) => (step as f64 + (x - STEPS[step]) / (next - STEPS[step])) / 16.0,
            None => 1.0,
        }
    }

    /// The index drawn from a list of weights, or `None` if all are 0.
    pub fn weighted(&mut self, weights: impl Iterator<Item = u32> + Clone) -> Option<usize> {
        let total: u32 = weights.clone().sum();
        if total == 0 {
            return None;
        }
        let mut rest = self.below(total);
        for (index, weight) in weights.enumerate() {
            if rest < weight {
                return Some(index);
            }
            rest -= weight;
        }
        None
    }
}
