//! A one-sided test of the difference of two mean scores, with everything unknown held to the null.
//!
//! # Derivation
//!
//! Two samples of games, each trinomial with values 1, 1/2 and 0 points; D is the first mean minus
//! the second, d the one observed. Tested is E(D) <= `null`. The least favourable case is E(D) =
//! `null`, but the chances of wins and draws are still unknown. They are set to the most likely
//! ones *under that constraint* (as O. S. Miettinen and M. Nurminen 1985, Statistics in Medicine
//! 4:213-226, do for two proportions): for a given mean the most likely trinomial is a root of a
//! quadratic (T. Tango 1998), and the likelihood is concave in that mean, so one golden section
//! finds it. An unrestricted variance would be far too small whenever few games happen to have
//! lost nearly all.
//!
//! The tail of D under these chances is skewed, most where one sample is small and its mean far
//! from 1/2: a normal tail at p = 0.001 is then too small by half. So the tail is the saddlepoint
//! approximation of R. Lugannani and S. Rice 1980 in the form of O. E. Barndorff-Nielsen 1986,
//! Biometrika 73:307-322: with the cumulant generating function K of D, t from K'(t) = d, w =
//! sign(t) sqrt(2 (t d - K(t))) and u = t sqrt(K''(t)), the tail is that of a normal at w + ln(u /
//! w) / w. D moves in steps; half a step of the smaller sample is taken off d first, which keeps
//! the test on the safe side.

use super::normal::upper_tail;
use super::score::likeliest_given;

/// Games of one sample by result; fractions of games are allowed.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Results {
    /// Won games.
    pub wins: f64,
    /// Drawn games.
    pub draws: f64,
    /// Lost games.
    pub losses: f64,
}

impl Results {
    /// All games.
    pub fn games(self) -> f64 {
        self.wins + self.draws + self.losses
    }

    /// The games that are worth as much if `design_effect` of these, at least 1, are worth one.
    pub fn effective(self, design_effect: f64) -> Results {
        let part = |games: f64| games / design_effect.max(1.0);
        Results { wins: part(self.wins), draws: part(self.draws), losses: part(self.losses) }
    }

    /// Mean score; NaN without games.
    pub fn score(self) -> f64 {
        (self.wins + 0.5 * self.draws) / self.games()
    }

    /// Logarithm of the likelihood at the likeliest chances whose mean win - loss is `balance`.
    fn log_likelihood(self, balance: f64) -> f64 {
        let [win, draw, loss] = self.likeliest(balance);
        let term = |games: f64, chance: f64| if games > 0.0 { games * chance.ln() } else { 0.0 };
        term(self.wins, win) + term(self.draws, draw) + term(self.losses, loss)
    }

    fn likeliest(self, balance: f64) -> [f64; 3] {
        let n = self.games();
        likeliest_given(balance, self.wins / n, self.losses / n)
    }
}

/// p value of the null hypothesis that the mean score of `first` exceeds that of `second` by
/// `null` points at the most, 0..=1; 1 if either sample is empty. Conservative: see the module's
/// docs and tests.
pub fn exceeds_by(first: Results, second: Results, null: f64) -> f64 {
    if !(first.games() > 0.0 && second.games() > 0.0) || null >= 1.0 {
        return 1.0;
    }
    let null = null.max(-1.0 + 1e-9);
    let step = 1.0 / first.games().min(second.games());
    let observed = first.score() - second.score() - step / 2.0;
    let tail = Tail::under(first, second, null);
    tail.above(observed, null)
}

/// The distribution of the difference of the means under chances held to the null.
struct Tail {
    /// Chances of win, draw and loss, games, and sign in the difference.
    samples: [([f64; 3], f64, f64); 2],
}

/// Value and first two derivatives.
type Cumulants = [f64; 3];

impl Tail {
    fn under(first: Results, second: Results, null: f64) -> Tail {
        // In win - loss a difference of scores counts double.
        let apart = 2.0 * null;
        let (low, high) = ((-1.0f64).max(-1.0 + apart), 1.0f64.min(1.0 + apart));
        let fit =
            |balance: f64| first.log_likelihood(balance) + second.log_likelihood(balance - apart);
        let balance = highest(fit, low, high);
        let samples = [
            (first.likeliest(balance), first.games(), 1.0),
            (second.likeliest(balance - apart), second.games(), -1.0),
        ];
        Tail { samples }
    }

    /// K(t), K'(t), K''(t) of the difference.
    fn cumulants(&self, t: f64) -> Cumulants {
        let mut sums = [0.0; 3];
        for &(chances, n, sign) in &self.samples {
            let s = sign * t / n;
            // The largest exponent is taken out, so that nothing overflows.
            let top = s.max(0.0);
            let [win, draw, loss] = chances;
            let [win, draw, loss] =
                [win * (s - top).exp(), draw * (s / 2.0 - top).exp(), loss * (-top).exp()];
            let all = win + draw + loss;
            let mean = (win + draw / 2.0) / all;
            let variance = (win + draw / 4.0) / all - mean * mean;
            sums[0] += n * (all.ln() + top);
            sums[1] += sign * mean;
            sums[2] += variance.max(0.0) / n;
        }
        sums
    }

    /// Chance of a difference of at least `observed`.
    fn above(&self, observed: f64, null: f64) -> f64 {
        let [_, mean, variance] = self.cumulants(0.0);
        let z = (observed - mean) / variance.sqrt();
        // Below the mean any tail serves: the null is not in doubt.
        if observed <= null || z.is_nan() || z <= 0.05 {
            return if z.is_nan() { 1.0 } else { upper_tail(z.min(0.05)) };
        }
        let t = self.tilt(observed, z / variance.sqrt());
        let [k, _, curvature] = self.cumulants(t);
        let w = (2.0 * (t * observed - k)).max(0.0).sqrt();
        let u = t * curvature.sqrt();
        let corrected = if w > 0.0 && u > 0.0 { w + (u / w).ln() / w } else { w };
        upper_tail(corrected)
    }

    /// The t with K'(t) = `observed`, above the mean: Newton's step, halving where it leaves
    /// the bracket.
    fn tilt(&self, observed: f64, guess: f64) -> f64 {
        let (mut low, mut high) = (0.0, guess.max(1.0));
        // Out of reach altogether is out of reach at the largest exponent as well.
        while self.cumulants(high)[1] < observed && high < 1e12 {
            low = high;
            high *= 2.0;
        }
        let mut t = guess.clamp(low, high);
        for _ in 0..80 {
            let [_, slope, curvature] = self.cumulants(t);
            if slope < observed {
                low = t
            } else {
                high = t
            }
            let newton = t + (observed - slope) / curvature;
            let next = if newton > low && newton < high { newton } else { 0.5 * (low + high) };
            if (next - t).abs() <= 1e-10 * t {
                break;
            }
            t = next;
        }
        t
    }
}

/// Where a concave function is highest between `low` and `high`.
fn highest(f: impl Fn(f64) -> f64, mut low: f64, mut high: f64) -> f64 {
    const GOLDEN: f64 = 0.618_033_988_749_895;
    let (mut a, mut b) = (high - GOLDEN * (high - low), low + GOLDEN * (high - low));
    let (mut at_a, mut at_b) = (f(a), f(b));
    // 40 steps leave 5e-9 of the range, far below any standard error.
    for _ in 0..40 {
        if at_a < at_b {
            (low, a, at_a) = (a, b, at_b);
            b = low + GOLDEN * (high - low);
            at_b = f(b);
        } else {
            (high, b, at_b) = (b, a, at_a);
            a = high - GOLDEN * (high - low);
            at_a = f(a);
        }
    }
    0.5 * (low + high)
}

#[cfg(test)]
#[path = "difference_tests.rs"]
mod tests;
