//! Shares `k / n` and Wilson's interval.

use super::interval::Interval;

/// The share `k / n`, or `None` if `n` is 0.
pub fn share(k: u64, n: u64) -> Option<f64> {
    debug_assert!(k <= n, "a share has k <= n: {k} of {n}");
    (n > 0).then(|| k as f64 / n as f64)
}

/// Wilson's interval of the share `k / n` at this quantile, or `None` if `n` is 0.
///
/// E. B. Wilson 1927, J. Am. Stat. Assoc. 22:209-212; NIST/SEMATECH e-Handbook 7.2.4.1. The lower
/// end is exactly 0 for `k` = 0 and the upper end exactly 1 for `k` = `n`.
pub fn wilson(k: u64, n: u64, z: f64) -> Option<Interval> {
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
    use crate::answers::stats::Z_95;
    use proptest::prelude::*;

    /// The ends at the border: 0 to z^2 / (n + z^2), and its mirror image (from the formula).
    #[test]
    fn wilson_ends_are_exact_at_nobody_and_everybody() {
        let z2 = Z_95 * Z_95;
        let nobody = wilson(0, 40, Z_95).expect("n > 0");
        assert_eq!(nobody.low, 0.0);
        assert!((nobody.high - z2 / (40.0 + z2)).abs() < 1e-15);
        assert_eq!(wilson(40, 40, Z_95).expect("n > 0").high, 1.0);
    }

    #[test]
    fn without_games_there_is_no_interval() {
        assert_eq!(share(0, 0), None);
        assert_eq!(wilson(0, 0, Z_95), None);
    }

    proptest! {
        #[test]
        fn wilson_holds_its_share_and_mirrors(n in 1..=1_000_000_000_000u64, at in 0.0..=1.0f64) {
            let k = ((n as f64 * at) as u64).min(n);
            let interval = wilson(k, n, Z_95).expect("n > 0");
            prop_assert!(interval.contains(k as f64 / n as f64));
            prop_assert!(0.0 <= interval.low && interval.high <= 1.0);
            let mirror = wilson(n - k, n, Z_95).expect("n > 0").scale(-1.0).shift(1.0);
            prop_assert!((interval.low - mirror.low).abs() < 1e-12);
            prop_assert!((interval.high - mirror.high).abs() < 1e-12);
        }

        #[test]
        fn wilson_rises_with_the_hits(n in 2..100_000u64, at in 0.0..1.0f64) {
            let k = (n as f64 * at) as u64;
            let (fewer, more) = (wilson(k, n, Z_95).expect("n > 0"), wilson(k + 1, n, Z_95).expect("n > 0"));
            prop_assert!(fewer.low < more.low && fewer.high < more.high);
        }

        #[test]
        fn wilson_narrows_with_more_games(n in 1..100_000u64, at in 0.0..=1.0f64) {
            let k = ((n as f64 * at) as u64).min(n);
            let (few, many) = (wilson(k, n, Z_95).expect("n > 0"), wilson(4 * k, 4 * n, Z_95).expect("n > 0"));
            prop_assert!(many.width() < few.width());
        }
    }
}
