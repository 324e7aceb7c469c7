//! A product of shares along a line of choices, with a log-normal interval.
//!
//! Each share has the Jeffreys posterior Beta(a, b) with a = k + 1/2, b = n - k + 1/2 (Brown, Cai
//! and DasGupta 2001, Statistical Science 16:101-133). The logarithm of a Beta variable has mean
//! digamma(a) - digamma(a + b) and variance trigamma(a) - trigamma(a + b); over independent factors
//! both add up, and the sum is taken as normal.

use super::interval::Interval;
use special::Gamma;

/// One share of the product: `k` of `n` games made the choice that the line needs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Factor {
    /// Games that made the choice.
    pub k: u64,
    /// Games in which it was to be made.
    pub n: u64,
    /// So many of these games, at least 1, are worth one game of a player of their own.
    pub design_effect: f64,
}

impl Default for Factor {
    fn default() -> Self {
        Self::new(0, 0)
    }
}

impl Factor {
    /// A factor of `k` out of `n`, `k <= n`, by different players.
    pub fn new(k: u64, n: u64) -> Self {
        debug_assert!(k <= n, "a share has k <= n: {k} of {n}");
        Self { k, n, design_effect: 1.0 }
    }

    /// The same where so many games are worth one.
    pub fn with_effect(self, design_effect: f64) -> Self {
        Self { design_effect: design_effect.max(1.0), ..self }
    }

    /// n / D: games of different players that tell as much.
    pub fn effective_games(self) -> f64 {
        self.n as f64 / self.design_effect
    }

    /// The games of both together.
    pub fn plus(self, other: Factor) -> Factor {
        let design_effect = self.design_effect.max(other.design_effect);
        Factor::new(self.k + other.k, self.n + other.n).with_effect(design_effect)
    }

    /// The share, 0 to 1. A choice that no game ever had to make counts as 0: the data knows no
    /// way through.
    pub fn share(self) -> f64 {
        if self.n == 0 { 0.0 } else { self.k as f64 / self.n as f64 }
    }

    /// Mean and variance of the share's logarithm under the Jeffreys posterior of the
    /// effective counts.
    pub(super) fn log_moments(self) -> LogMoments {
        let a = self.k as f64 / self.design_effect + 0.5;
        let all = self.n as f64 / self.design_effect + 1.0;
        LogMoments {
            centre: a.digamma() - all.digamma(),
            // Both terms are of the order 1 / a; their difference may round below zero when
            // nearly all agree.
            variance: (a.trigamma() - all.trigamma()).max(0.0),
        }
    }
}

/// Mean and variance of the logarithm of an uncertain positive number.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct LogMoments {
    pub centre: f64,
    pub variance: f64,
}

impl LogMoments {
    /// exp(centre +- `quantile` sqrt(variance)), cut at 1 since it is a share, and stretched
    /// to hold `value`: the estimate is 0 when nobody made a choice, which no log-normal
    /// interval reaches.
    pub fn interval_around(self, value: f64, quantile: f64) -> Interval {
        let half = quantile * self.variance.sqrt();
        let end = |x: f64| x.exp().min(1.0);
        Interval::new(end(self.centre - half), end(self.centre + half)).including(value)
    }
}

/// The product of the shares; 1 without factors.
pub fn product(factors: &[Factor]) -> f64 {
    factors.iter().map(|factor| factor.share()).product()
}

/// The interval of [`product`] with this multiplier of a standard error, within 0 to 1 and holding
/// the value; 1 to 1 without factors.
pub fn product_interval(factors: &[Factor], quantile: f64) -> Interval {
    let mut sum = LogMoments::default();
    for factor in factors {
        let moments = factor.log_moments();
        sum.centre += moments.centre;
        sum.variance += moments.variance;
    }
    sum.interval_around(product(factors), quantile)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::answers::stats::{Z_95, wilson};
    use proptest::prelude::*;

    /// Closed forms at half-integers and integers (Abramowitz and Stegun 1964, 6.3.2-6.3.4,
    /// 6.4.2-6.4.4): digamma(1/2) = -gamma - 2 ln 2, digamma(1) = -gamma, trigamma(1/2) = pi^2 / 2,
    /// trigamma(1) = pi^2 / 6.
    #[test]
    fn log_moments_of_an_empty_factor_have_the_closed_form() {
        let pi2 = std::f64::consts::PI.powi(2);
        let got = Factor::new(0, 0).log_moments();
        assert!((got.centre + 2.0 * std::f64::consts::LN_2).abs() < 1e-13);
        assert!((got.variance - pi2 / 3.0).abs() < 1e-13);
        // And one step up: digamma(x + 1) = digamma(x) + 1 / x, trigamma(x + 1) =
        // trigamma(x) - 1 / x^2.
        let got = Factor::new(1, 1).log_moments();
        assert!((got.centre - (2.0 - 2.0 * std::f64::consts::LN_2 - 1.0)).abs() < 1e-13);
        assert!((got.variance - (pi2 / 3.0 - 3.0)).abs() < 1e-13);
    }

    #[test]
    fn without_factors_the_product_is_one() {
        assert_eq!(product(&[]), 1.0);
        assert_eq!(product_interval(&[], Z_95), Interval::point(1.0));
    }

    #[test]
    fn a_choice_that_nobody_makes_gives_zero_from_zero() {
        for nobody in [Factor::new(0, 300), Factor::new(0, 0)] {
            let factors = [Factor::new(40, 100), nobody];
            assert_eq!(product(&factors), 0.0);
            let interval = product_interval(&factors, Z_95);
            assert_eq!(interval.low, 0.0);
            assert!(interval.high > 0.0);
        }
    }

    #[test]
    fn a_choice_that_everybody_makes_reaches_one() {
        assert_eq!(product_interval(&[Factor::new(80, 80)], Z_95).high, 1.0);
    }

    /// A large sample leaves the delta method: log p +- z sqrt((1 - p) / k), summed over the
    /// factors (Katz et al. 1978, Biometrics 34:469-474).
    #[test]
    fn large_counts_meet_the_delta_method() {
        let factors = [Factor::new(400_000, 1_000_000), Factor::new(30_000, 300_000)];
        let half = Z_95 * (0.6f64 / 400_000.0 + 0.9 / 30_000.0).sqrt();
        let got = product_interval(&factors, Z_95);
        assert!((got.low / (0.04 * (-half).exp()) - 1.0).abs() < 1e-4);
        assert!((got.high / (0.04 * half.exp()) - 1.0).abs() < 1e-4);
    }

    #[test]
    fn a_single_common_share_is_near_wilson() {
        let (got, want) = (
            product_interval(&[Factor::new(400, 1000)], Z_95),
            wilson(400, 1000, Z_95).expect("games"),
        );
        assert!((got.low - want.low).abs() < 1e-3 && (got.high - want.high).abs() < 1e-3);
    }

    fn factors() -> impl Strategy<Value = Vec<Factor>> {
        let factor = (0..=1_000_000_000u64, 0.0..=1.0f64)
            .prop_map(|(n, at)| Factor::new(((n as f64 * at) as u64).min(n), n));
        prop::collection::vec(factor, 0..6)
    }

    #[test]
    fn a_design_effect_divides_the_games_and_of_two_the_larger_holds() {
        assert_eq!(Factor::new(1, 2).with_effect(0.5), Factor::new(1, 2));
        assert_eq!(Factor::new(40, 100).with_effect(4.0).effective_games(), 25.0);
        let (one, other) =
            (Factor::new(1, 10).with_effect(2.0), Factor::new(2, 30).with_effect(3.0));
        let both = Factor::new(3, 40).with_effect(3.0);
        assert_eq!((one.plus(other), other.plus(one)), (both, both));
    }

    proptest! {
        #[test]
        fn the_product_lies_in_its_interval_within_zero_and_one(factors in factors()) {
            let interval = product_interval(&factors, Z_95);
            prop_assert!(interval.contains(product(&factors)));
            prop_assert!(0.0 <= interval.low && interval.high <= 1.0);
        }

        #[test]
        fn the_order_of_the_factors_does_not_matter(factors in factors()) {
            let turned: Vec<Factor> = factors.iter().rev().copied().collect();
            let (there, back) = (product_interval(&factors, Z_95), product_interval(&turned, Z_95));
            prop_assert!((there.low - back.low).abs() < 1e-12 && (there.high - back.high).abs() < 1e-12);
        }

        #[test]
        fn more_games_narrow_it(n in 1..100_000u64, at in 0.05..0.95f64) {
            let k = ((n as f64 * at) as u64).max(1);
            let few = product_interval(&[Factor::new(k, n)], Z_95);
            let many = product_interval(&[Factor::new(16 * k, 16 * n)], Z_95);
            prop_assert!(many.width() < few.width() || k == n);
        }
    }
}
