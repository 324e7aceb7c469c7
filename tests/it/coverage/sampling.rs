//! Seeded samples: counts from known shares.

use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use special::Gamma;

/// The source of chance; the same seed gives the same samples on every machine.
pub struct Chance(ChaCha8Rng);

impl Chance {
    pub fn seeded(seed: u64) -> Self {
        Self(ChaCha8Rng::seed_from_u64(seed))
    }

    /// A number from 0 up to 1.
    pub fn unit(&mut self) -> f64 {
        self.0.random()
    }

    /// A number between the two, evenly.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + self.unit() * (high - low)
    }

    /// A number between the two, evenly on the logarithmic scale.
    pub fn spread(&mut self, low: f64, high: f64) -> f64 {
        low * (high / low).powf(self.unit())
    }

    /// A number with mean 1 and a long tail, log-normal with a coefficient of variation of 1.
    pub fn long_tailed(&mut self) -> f64 {
        let spread = std::f64::consts::LN_2;
        let (radius, angle) = (1.0 - self.unit(), std::f64::consts::TAU * self.unit());
        let normal = (-2.0 * radius.ln()).sqrt() * angle.cos();
        (spread.sqrt() * normal - spread / 2.0).exp()
    }

    /// A number of games between the two, evenly on the logarithmic scale.
    pub fn games(&mut self, low: f64, high: f64) -> u64 {
        self.spread(low, high) as u64
    }

    /// A whole number from `low` to `high`, both included.
    pub fn whole(&mut self, low: usize, high: usize) -> usize {
        self.0.random_range(low..=high)
    }

    /// `share` times a random factor of up to 1.5 either way.
    pub fn perturbed(&mut self, share: f64) -> f64 {
        (share * self.spread(1.0 / 1.5, 1.5)).min(0.97)
    }

    /// How many of `n` games do what each does with probability `p`: inversion outward from the
    /// mode, which is exact and takes about sqrt(n) steps.
    pub fn binomial(&mut self, n: u64, p: f64) -> u64 {
        if p >= 1.0 {
            return n;
        }
        let odds = p / (1.0 - p);
        let mode = (((n + 1) as f64 * p) as u64).min(n);
        let at_mode = probability(n, mode, p);
        let mut left = self.unit() - at_mode;
        let (mut low, mut high, mut at_low, mut at_high) = (mode, mode, at_mode, at_mode);
        while left > 0.0 && at_low + at_high > 0.0 {
            at_high *= (n - high) as f64 / (high + 1) as f64 * odds;
            high = (high + 1).min(n);
            left -= at_high;
            if left <= 0.0 {
                return high;
            }
            at_low *= low as f64 / ((n - low + 1) as f64 * odds);
            low = low.saturating_sub(1);
            left -= at_low;
            if left <= 0.0 {
                return low;
            }
        }
        mode
    }
}

/// The binomial probability of `k` among `n`.
fn probability(n: u64, k: u64, p: f64) -> f64 {
    let ln_factorial = |x: u64| Gamma::ln_gamma(x as f64 + 1.0).0;
    let ways = ln_factorial(n) - ln_factorial(k) - ln_factorial(n - k);
    (ways + k as f64 * p.ln() + (n - k) as f64 * (1.0 - p).ln()).exp()
}

/// The whole distribution for a small n, from the textbook's coefficients 1, 4, 6, 4, 1.
#[test]
fn small_draws_follow_the_binomial_distribution() {
    let mut chance = Chance::seeded(11);
    let mut seen = [0.0; 5];
    for _ in 0..40_000 {
        seen[chance.binomial(4, 0.3) as usize] += 1.0 / 40_000.0;
    }
    for (k, ways) in [1.0, 4.0, 6.0, 4.0, 1.0].into_iter().enumerate() {
        let want = ways * 0.3f64.powi(k as i32) * 0.7f64.powi(4 - k as i32);
        assert!((seen[k] - want).abs() < 0.01, "{k}: {} not {want}", seen[k]);
    }
}

#[test]
fn large_draws_have_the_binomial_mean_and_variance() {
    let (mut chance, n, p, rounds) = (Chance::seeded(12), 20_000, 0.2, 4000);
    let draws: Vec<f64> = (0..rounds).map(|_| chance.binomial(n, p) as f64).collect();
    let mean = draws.iter().sum::<f64>() / rounds as f64;
    let variance = draws.iter().map(|k| (k - mean).powi(2)).sum::<f64>() / rounds as f64;
    assert!((mean - 4000.0).abs() < 4.0, "mean {mean}");
    assert!((variance / 3200.0 - 1.0).abs() < 0.1, "variance {variance}");
}
