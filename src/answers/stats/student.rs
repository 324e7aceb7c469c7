//! Student's t distribution, most of all with 31 degrees of freedom: that of a mean whose variance
//! comes from 32 random groups.

use special::Beta;

/// Random groups that players are divided into.
pub const GROUPS: usize = 32;

/// Groups less one: what a variance from these groups has been estimated with.
const FREEDOM: f64 = GROUPS as f64 - 1.0;

/// The 0.975 quantile: the two-sided 95 % multiplier. SciPy 1.17.1, `scipy.stats.t.ppf(0.975, 31)`.
pub const T_95: f64 = 2.0395134463964077;

/// The multiplier of a two-sided interval that misses with probability `miss`, 0 < `miss` < 1.
pub fn t_multiplier(miss: f64) -> f64 {
    t_multiplier_of(miss, FREEDOM)
}

/// The same with `freedom` degrees of freedom, f.
///
/// With x the `miss` quantile of the beta distribution of f/2 and 1/2, t = sqrt(f (1 - x) / x) (M.
/// Abramowitz and I. Stegun 1964, Handbook of Mathematical Functions, 26.7.1 and 26.5.27).
pub(super) fn t_multiplier_of(miss: f64, freedom: f64) -> f64 {
    debug_assert!(0.0 < miss && miss < 1.0, "a probability between 0 and 1: {miss}");
    // By bisection on the logarithm of t: the tail falls as t rises, and no start has to be good.
    let (mut low, mut high) = (-20.0_f64, 20.0_f64);
    for _ in 0..50 {
        let middle = 0.5 * (low + high);
        if outside(middle.exp(), freedom) > miss { low = middle } else { high = middle }
    }
    (0.5 * (low + high)).exp()
}

/// The probability that a t variable lies outside -`t`..`t`.
fn outside(t: f64, freedom: f64) -> f64 {
    let (a, b) = (0.5 * freedom, 0.5);
    (freedom / (freedom + t * t)).inc_beta(a, b, a.ln_beta(b))
}

/// The density at `t`, but for its constant factor.
pub(super) fn relative_density(t: f64) -> f64 {
    (1.0 + t * t / FREEDOM).powf(-0.5 * (FREEDOM + 1.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_constant_is_the_multiplier_of_95_percent() {
        assert!((t_multiplier(0.05) - T_95).abs() < 1e-12);
        // Abramowitz and Stegun 1964, table 26.10.
        assert!((t_multiplier_of(0.05, 12.0) - 2.179).abs() < 5e-4);
        assert!((t_multiplier_of(0.05, 1.0) - 12.706).abs() < 5e-4);
    }

    /// The density's shape against its own tail: the trapezoids beyond 1 are to all of them as
    /// the tail says.
    #[test]
    fn density_and_tail_belong_together() {
        let sum =
            |from: i32| (from..4000).map(|i| relative_density(0.01 * f64::from(i))).sum::<f64>();
        let (beyond, all) = (sum(100) - 0.5 * relative_density(1.0), sum(0) - 0.5);
        assert!((beyond / all - outside(1.0, FREEDOM)).abs() < 1e-4);
    }
}
