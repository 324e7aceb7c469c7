//! Means of measured quantities, such as seconds on a move, from integer sums.

use super::interval::Interval;
use super::normal::Z_95;

/// Count, sum and sum of squares of a quantity measured in whole units.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Moments {
    /// Number of measurements.
    pub n: u64,
    /// Their sum, in units.
    pub sum: i64,
    /// The sum of their squares, in units squared.
    pub sum_sq: u64,
}

impl Moments {
    /// The mean in units, or `None` without measurements.
    pub fn mean(self) -> Option<f64> {
        (self.n > 0).then(|| self.sum as f64 / self.n as f64)
    }

    /// The sample variance (divisor n - 1) in units squared, or `None` for fewer than two measurements.
    pub fn variance(self) -> Option<f64> {
        if self.n < 2 {
            return None;
        }
        // n sum_sq - sum^2 in 128 bits: exact, where floats would cancel.
        let squares = u128::from(self.n) * u128::from(self.sum_sq);
        let square = u128::from(self.sum.unsigned_abs()).pow(2);
        let spread = squares.saturating_sub(square) as f64;
        Some(spread / (self.n as f64 * (self.n - 1) as f64))
    }

    /// The normal 95 % interval of the mean in units, or `None` for fewer than two measurements.
    ///
    /// It has no width if all measurements are equal: it only knows the spread that it has seen.
    pub fn interval(self) -> Option<Interval> {
        self.interval_at(Z_95)
    }

    /// [`Moments::interval`] with another normal quantile `z`.
    pub fn interval_at(self, z: f64) -> Option<Interval> {
        let (mean, half) = (self.mean()?, z * self.squared_error()?.sqrt());
        Some(Interval::new(mean - half, mean + half))
    }

    /// The squared standard error of the mean.
    fn squared_error(self) -> Option<f64> {
        Some(self.variance()? / self.n as f64)
    }
}

/// The difference `first` - `second` of two means in units and its interval with unequal variances (B. L. Welch 1947,
/// Biometrika 34:28-35, with the normal quantile `z`), or `None` if either has fewer than two measurements.
pub fn mean_difference(first: Moments, second: Moments, z: f64) -> Option<(f64, Interval)> {
    let difference = first.mean()? - second.mean()?;
    let half = z * (first.squared_error()? + second.squared_error()?).sqrt();
    Some((difference, Interval::new(difference - half, difference + half)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn measured(values: &[i64]) -> Moments {
        Moments {
            n: values.len() as u64,
            sum: values.iter().sum(),
            sum_sq: values.iter().map(|v| v.unsigned_abs().pow(2)).sum(),
        }
    }

    /// 50 wins, 30 draws, 20 losses as 2, 1, 0 half points: statsmodels 0.15.0, `DescrStatsW.zconfint_mean`, gives
    /// 0.573075 to 0.726925 points.
    #[test]
    fn the_interval_equals_a_general_purpose_library() {
        let halves = Moments { n: 100, sum: 130, sum_sq: 230 };
        let got = halves.interval().expect("two or more").scale(0.5);
        assert!((got.low - 0.573075).abs() < 5.1e-7);
        assert!((got.high - 0.726925).abs() < 5.1e-7);
    }

    #[test]
    fn fewer_than_two_measurements_have_no_interval() {
        assert_eq!(measured(&[]).mean(), None);
        assert_eq!(measured(&[7]).mean(), Some(7.0));
        assert_eq!(measured(&[7]).interval(), None);
        assert_eq!(mean_difference(measured(&[7]), measured(&[1, 2]), Z_95), None);
    }

    /// Hand-computed: variances 1 and 4 over 3 and 3 measurements, standard error sqrt(5 / 3).
    #[test]
    fn a_difference_adds_the_squared_errors() {
        let (got, interval) =
            mean_difference(measured(&[4, 5, 6]), measured(&[0, 2, 4]), Z_95).expect("two or more");
        assert_eq!(got, 3.0);
        assert!((interval.width() / 2.0 - Z_95 * (5.0f64 / 3.0).sqrt()).abs() < 1e-12);
    }

    #[test]
    fn large_offsets_do_not_cancel() {
        let far: Vec<i64> = [1, 2, 3].iter().map(|v| v + 1_000_000_000).collect();
        assert_eq!(measured(&far).variance(), Some(1.0));
    }

    proptest! {
        #[test]
        fn shifting_the_data_shifts_the_interval(values in prop::collection::vec(-5000..5000i64, 2..40), by in -9999..9999i64) {
            let moved: Vec<i64> = values.iter().map(|v| v + by).collect();
            let (at, there) = (measured(&values).interval().expect("two"), measured(&moved).interval().expect("two"));
            prop_assert!((at.low + by as f64 - there.low).abs() < 1e-6);
            prop_assert!((at.high + by as f64 - there.high).abs() < 1e-6);
        }
    }
}
