//! How much a figure changes in a month, by samples in which many of the players are the same.
//!
//! The same players are in both stores, so the errors of two months hang together: the groups'
//! residuals, which each store keeps, give their covariance, and variance recovery joins the
//! months' own intervals with it. `tests/it/coverage/trend.rs` draws months whose players stay in
//! part; a slow test invents three months of one league in which nothing changes.

use super::combine::{Part, combine_with};
use super::groups::GroupedShare;
use super::interval::Interval;
use super::student::GROUPS;

/// What the groups of players tell about the error of an estimate.
///
/// For a share p = k / n the error is linear in the groups: sum_g (k_g - p n_g) / n. The same
/// players make the same errors in another month, so the covariance of two months' estimates is
/// G/(G-1) sum_g e_g e'_g (the random group method: K. Wolter, Introduction to Variance Estimation,
/// 2nd ed. 2007, chapter 2, from memory).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GroupErrors {
    by_group: [f64; GROUPS],
    variance: f64,
}

impl GroupErrors {
    /// Those of a product of shares of different choices, relative to it; of one share
    /// those of that.
    ///
    /// To first order the relative errors of the factors add up; a share without a hit
    /// tells nothing.
    pub fn of_product(shares: &[GroupedShare]) -> GroupErrors {
        let mut errors = GroupErrors { by_group: [0.0; GROUPS], variance: 0.0 };
        for share in shares {
            let [k, n] = [&share.k, &share.n].map(|games| games.iter().sum::<u64>() as f64);
            if k == 0.0 {
                continue;
            }
            for (error, (&k_g, &n_g)) in
                errors.by_group.iter_mut().zip(share.k.iter().zip(&share.n))
            {
                *error += (k_g as f64 - k / n * n_g as f64) / k;
            }
            errors.variance += share.design_effect * (1.0 - k / n) / k;
        }
        errors
    }

    /// The correlation of the errors of two months in which many of the players are the
    /// same: 0 to 0.9.
    ///
    /// A negative estimate is chance: whoever plays in both months tends to the same move.
    pub fn correlation(&self, other: &GroupErrors) -> f64 {
        let products = self.by_group.iter().zip(&other.by_group).map(|(a, b)| a * b);
        let covariance = GROUPS as f64 / (GROUPS - 1) as f64 * products.sum::<f64>();
        let correlation = covariance / (self.variance * other.variance).sqrt();
        // Without spread in one of them there is nothing to cancel.
        if correlation.is_nan() { 0.0 } else { correlation.clamp(0.0, MOST_ALIKE) }
    }
}

/// No two months' errors cancel to more than this: a player's own choice still varies from
/// game to game.
const MOST_ALIKE: f64 = 0.9;

/// An estimate of one store.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Dated {
    /// When, in months from any start.
    pub at: f64,
    /// The estimate.
    pub value: f64,
    /// Its own 95 % interval.
    pub interval: Interval,
    /// Its errors.
    pub errors: GroupErrors,
}

/// The change a month and its 95 % interval: the slope of least squares against time, sum_s w_s x_s
/// with w_s = (t_s - t) / sum (t_s - t)^2, which of two estimates is their difference over their
/// distance. `None` unless two of them are of different times.
///
/// The errors of the terms add up by variance recovery from the estimates' own intervals, with the
/// correlations of every two stores by groups of players ([`combine_with`]). For two shares it is
/// Newcombe's interval of paired data, the correlation taken off (R. G. Newcombe 1998, Statistics
/// in Medicine 17:2635-2650; G. Y. Zou and A. Donner 2008, the same 27:1693-1702).
pub fn change_a_month(points: &[Dated]) -> Option<(f64, Interval)> {
    let mean = points.iter().map(|point| point.at).sum::<f64>() / points.len() as f64;
    let spread: f64 = points.iter().map(|point| (point.at - mean).powi(2)).sum();
    if points.len() < 2 || spread <= 0.0 {
        return None;
    }
    let weight = |point: &Dated| (point.at - mean) / spread;
    let value = points.iter().map(|point| weight(point) * point.value).sum();
    let parts: Vec<Part> =
        points.iter().map(|point| Part::new(weight(point), point.value, point.interval)).collect();
    let correlation = |a: usize, b: usize| {
        let sign = (weight(&points[a]) * weight(&points[b])).signum();
        sign * points[a].errors.correlation(&points[b].errors)
    };
    Some((value, combine_with(value, &parts, correlation)))
}

#[cfg(test)]
mod tests {
    use super::super::margin::Margin;
    use super::super::share::wilson;
    use super::*;
    use proptest::prelude::*;

    fn share(k: [u64; GROUPS], n: [u64; GROUPS], design_effect: f64) -> GroupedShare {
        GroupedShare { k, n, design_effect }
    }

    fn dated(at: f64, of: &GroupedShare) -> Dated {
        let [k, n] = [&of.k, &of.n].map(|games| games.iter().sum::<u64>());
        let interval = wilson(k, n, Margin::of(of.design_effect).z()).expect("games");
        let errors = GroupErrors::of_product(std::slice::from_ref(of));
        Dated { at, value: k as f64 / n as f64, interval, errors }
    }

    /// Nobody chose the move, or everybody did: there is no error to share with another month.
    #[test]
    fn shares_without_a_spread_hang_together_with_nothing() {
        let errors = |k| GroupErrors::of_product(&[share(k, [10; GROUPS], 1.5)]);
        assert_eq!(errors([0; GROUPS]), GroupErrors::of_product(&[]));
        let month = errors(std::array::from_fn(|group| 10 * (group as u64 % 2)));
        assert_eq!(month.correlation(&errors([10; GROUPS])), 0.0);
    }

    proptest! {
        /// Two stores a month apart, by the plain formulas: Newcombe's interval, and the covariance
        /// of sums over groups, G/(G-1) sum_g (k_g - p n_g)(k'_g - p' n'_g) / (n n').
        #[test]
        fn of_two_months_it_is_the_difference_of_paired_shares(
            raw in prop::collection::vec((1..9u64, 0..9u64, 1..9u64, 0..9u64), GROUPS),
            effects in (1.0..4.0f64, 1.0..4.0f64)
        ) {
            let n = |of: fn(&(u64, u64, u64, u64)) -> u64| std::array::from_fn(|g| of(&raw[g]));
            let first = share(n(|r| r.1.min(r.0)), n(|r| r.0), effects.0);
            let second = share(n(|r| r.3.min(r.2)), n(|r| r.2), effects.1);
            let (value, interval) = change_a_month(&[dated(3.0, &first), dated(4.0, &second)]).expect("two");
            let sums = |of: &GroupedShare| [of.k, of.n].map(|games| games.iter().sum::<u64>());
            let ([k, n], [m, o]) = (sums(&first), sums(&second));
            let (p, q) = (k as f64 / n as f64, m as f64 / o as f64);
            let residual = |of: &GroupedShare, p: f64, g: usize| of.k[g] as f64 - p * of.n[g] as f64;
            let covariance = (0..GROUPS).map(|g| residual(&first, p, g) * residual(&second, q, g)).sum::<f64>();
            let covariance = covariance * GROUPS as f64 / (GROUPS - 1) as f64 / (n * o) as f64;
            let variance = first.design_effect * p * (1.0 - p) / n as f64 * second.design_effect * q * (1.0 - q) / o as f64;
            let correlation = if variance > 0.0 { (covariance / variance.sqrt()).clamp(0.0, 0.9) } else { 0.0 };
            let [a, b] = [&first, &second].map(|of| dated(0.0, of).interval);
            let side = |a: f64, b: f64| (a * a + b * b - 2.0 * correlation * a * b).sqrt();
            prop_assert!((value - (q - p)).abs() < 1e-12);
            prop_assert!((interval.low - (value - side(q - b.low, a.high - p))).abs() < 1e-9, "{interval:?}");
            prop_assert!((interval.high - (value + side(b.high - q, p - a.low))).abs() < 1e-9, "{interval:?}");
        }
    }

    /// The same players with the same games make one and the same error, but for the limit; others
    /// make others.
    #[test]
    fn the_same_players_again_leave_little_to_differ() {
        let errors = |k: [u64; GROUPS]| GroupErrors::of_product(&[share(k, [10; GROUPS], 1.5)]);
        let month = errors(std::array::from_fn(|group| 10 * (group as u64 % 2)));
        assert_eq!(month.correlation(&month), MOST_ALIKE);
        let other = errors(std::array::from_fn(|group| 10 * (group as u64 / 16)));
        assert_eq!(month.correlation(&other), 0.0);
    }

    #[test]
    fn a_slope_needs_two_times() {
        let one = dated(1.0, &share([3; GROUPS], [9; GROUPS], 1.0));
        assert_eq!(change_a_month(&[one]), None);
        assert_eq!(change_a_month(&[one, one]), None);
    }

    /// 0.1, 0.3, 0.2 at 0, 1 and 4: mean 5/3, weights -5/3, -2/3, 7/3 over 26/3; slope (-0.1667 -
    /// 0.2 + 0.4667) x 3/26 = 0.011538.
    #[test]
    fn three_months_lie_on_a_line_of_least_squares() {
        let at = |at, k| dated(at, &share([k; GROUPS], [10; GROUPS], 1.0));
        let (value, interval) =
            change_a_month(&[at(0.0, 1), at(1.0, 3), at(4.0, 2)]).expect("three");
        assert!((value - 0.1 * 3.0 / 26.0).abs() < 1e-12, "{value}");
        assert!(interval.contains(value));
    }

    /// Relative errors add up: a product whose factors are wrong in opposite ways is right.
    #[test]
    fn errors_of_a_product_are_relative() {
        let (mut up, mut down) = ([10; GROUPS], [10; GROUPS]);
        (up[0], up[1], down[0], down[1]) = (14, 6, 6, 14);
        let n = [20; GROUPS];
        let errors = GroupErrors::of_product(&[share(up, n, 1.0), share(down, n, 1.0)]);
        assert!(errors.by_group.iter().all(|error| error.abs() < 1e-12));
        assert!((errors.variance - 2.0 * 0.5 / 320.0).abs() < 1e-12);
    }
}
