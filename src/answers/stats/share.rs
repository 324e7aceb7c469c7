//! Shares `k / n` and Wilson's interval.

use super::interval::Interval;
use super::normal::Z_95;

/// The share `k / n`, or `None` if `n` is 0.
pub fn share(k: u64, n: u64) -> Option<f64> {
    debug_assert!(k <= n, "a share has k <= n: {k} of {n}");
    (n > 0).then(|| k as f64 / n as f64)
}

/// Wilson's 95 % interval of the share `k / n`, or `None` if `n` is 0.
///
/// E. B. Wilson 1927, J. Am. Stat. Assoc. 22:209-212; NIST/SEMATECH e-Handbook 7.2.4.1. The lower end is
/// exactly 0 for `k` = 0 and the upper end exactly 1 for `k` = `n`.
pub fn wilson(k: u64, n: u64) -> Option<Interval> {
    wilson_at(k, n, Z_95)
}

/// [`wilson`] with another normal quantile `z`.
pub fn wilson_at(k: u64, n: u64, z: f64) -> Option<Interval> {
    debug_assert!(k <= n, "a share has k <= n: {k} of {n}");
    if n == 0 {
        return None;
    }
    // In counts and divided at the end, so that rare moves among many games keep their digits.
    let (hits, games) = (k as f64, n as f64);
    let middle = hits + z * z / 2.0;
    let half = z * (hits * ((n - k) as f64 / games) + z * z / 4.0).sqrt();
    let total = games + z * z;
    let low = if k == 0 { 0.0 } else { (middle - half) / total };
    let high = if k == n { 1.0 } else { (middle + half) / total };
    Some(Interval::new(low, high))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const Z_90: f64 = 1.6448536269514722;
    const Z_99: f64 = 2.5758293035489004;

    fn near(got: Interval, low: f64, high: f64, tolerance: f64) {
        let off = (got.low - low).abs().max((got.high - high).abs());
        assert!(off <= tolerance, "got {got:?}, want {low} to {high}");
    }

    /// Newcombe 1998, Statistics in Medicine 17:857-872, Table I, method 3, to the four printed places.
    #[test]
    fn wilson_gives_the_published_rows() {
        for (k, n, low, high) in [
            (81, 263, 0.2553, 0.3662),
            (15, 148, 0.0624, 0.1605),
            (0, 20, 0.0000, 0.1611),
            (1, 29, 0.0061, 0.1718),
        ] {
            near(wilson(k, n).expect("n > 0"), low, high, 5.1e-5);
        }
    }

    /// NIST/SEMATECH e-Handbook 7.2.4.1: the one-sided 95 % lower limit of 26/200 is 0.09577.
    #[test]
    fn wilson_gives_the_one_sided_limit_of_the_nist_handbook() {
        let interval = wilson_at(26, 200, Z_90).expect("n > 0");
        assert!((interval.low - 0.09577).abs() < 5.1e-6);
    }

    /// statsmodels 0.15.0, `proportion_confint(k, n, alpha, method="wilson")` for alpha 0.05, 0.1 and 0.01.
    #[test]
    #[rustfmt::skip]
    fn wilson_equals_a_general_purpose_library() {
        for (k, n, at_95, at_90, at_99) in [
            (0, 1, (0.000000, 0.793451), (0.000000, 0.730134), (0.000000, 0.869022)),
            (1, 1, (0.206549, 1.000000), (0.269866, 1.000000), (0.130978, 1.000000)),
            (0, 10, (0.000000, 0.277533), (0.000000, 0.212942), (0.000000, 0.398854)),
            (1, 10, (0.017876, 0.404150), (0.022635, 0.347719), (0.011852, 0.507232)),
            (5, 10, (0.236593, 0.763407), (0.269272, 0.730728), (0.184226, 0.815774)),
            (10, 10, (0.722467, 1.000000), (0.787058, 1.000000), (0.601146, 1.000000)),
            (29, 29, (0.883030, 1.000000), (0.914667, 1.000000), (0.813809, 1.000000)),
            (2, 100, (0.005502, 0.070012), (0.006641, 0.058648), (0.003915, 0.095817)),
            (50, 100, (0.403832, 0.596168), (0.418848, 0.581152), (0.375280, 0.624720)),
            (23, 60, (0.270883, 0.509824), (0.287250, 0.489485), (0.241092, 0.548808)),
            (26, 200, (0.090282, 0.183664), (0.095773, 0.174104), (0.080458, 0.203303)),
            (4, 20, (0.080658, 0.416017), (0.093118, 0.378377), (0.061561, 0.487902)),
            (0, 1000, (0.000000, 0.003827), (0.000000, 0.002698), (0.000000, 0.006591)),
            (7, 1000, (0.003395, 0.014378), (0.003800, 0.012861), (0.002741, 0.017758)),
            (123, 4567, (0.022620, 0.032040), (0.023263, 0.031161), (0.021415, 0.033823)),
            (1_000_000, 20_000_000, (0.049905, 0.050096), (0.049920, 0.050080), (0.049875, 0.050126)),
        ] {
            for (z, (low, high)) in [(Z_95, at_95), (Z_90, at_90), (Z_99, at_99)] {
                near(wilson_at(k, n, z).expect("n > 0"), low, high, 5.1e-7);
            }
        }
    }

    /// The ends at the border: 0 to z^2 / (n + z^2), and its mirror image (from the formula).
    #[test]
    fn wilson_ends_are_exact_at_nobody_and_everybody() {
        let z2 = Z_95 * Z_95;
        let nobody = wilson(0, 40).expect("n > 0");
        assert_eq!(nobody.low, 0.0);
        assert!((nobody.high - z2 / (40.0 + z2)).abs() < 1e-15);
        assert_eq!(wilson(40, 40).expect("n > 0").high, 1.0);
    }

    #[test]
    fn without_games_there_is_no_interval() {
        assert_eq!(share(0, 0), None);
        assert_eq!(wilson(0, 0), None);
    }

    proptest! {
        #[test]
        fn wilson_holds_its_share_and_mirrors(n in 1..=1_000_000_000_000u64, at in 0.0..=1.0f64) {
            let k = ((n as f64 * at) as u64).min(n);
            let interval = wilson(k, n).expect("n > 0");
            prop_assert!(interval.contains(k as f64 / n as f64));
            prop_assert!(0.0 <= interval.low && interval.high <= 1.0);
            let mirror = wilson(n - k, n).expect("n > 0").mirrored();
            prop_assert!((interval.low - mirror.low).abs() < 1e-12);
            prop_assert!((interval.high - mirror.high).abs() < 1e-12);
        }

        #[test]
        fn wilson_rises_with_the_hits(n in 2..100_000u64, at in 0.0..1.0f64) {
            let k = (n as f64 * at) as u64;
            let (fewer, more) = (wilson(k, n).expect("n > 0"), wilson(k + 1, n).expect("n > 0"));
            prop_assert!(fewer.low < more.low && fewer.high < more.high);
        }

        #[test]
        fn wilson_narrows_with_more_games(n in 1..100_000u64, at in 0.0..=1.0f64) {
            let k = ((n as f64 * at) as u64).min(n);
            let (few, many) = (wilson(k, n).expect("n > 0"), wilson(4 * k, 4 * n).expect("n > 0"));
            prop_assert!(many.width() < few.width());
        }
    }
}
