//! Means of times, such as seconds on a move, from integer sums by group.
//!
//! Times have a long tail, and their groups, the paces, lie far apart: one game in a hundred may
//! hold half of the sum. The spread of all times together then tells little about the error of
//! their mean (in seeded samples of 50 games of all paces the normal interval held the truth in 83
//! %). So the mix of the groups is taken as it is, like the ratings: what is estimated is the mean
//! time at this mix.
//!
//! * Times spread in proportion to their mean. One squared coefficient of variation serves all
//!   groups: c^2 is the sum of the squared deviations over the squared mean of their group, by the
//!   sum of n - 1. The squared error of the mean is then c^2 sum n m^2 / N^2.
//! * Few times show too little of their spread. As many equal games as weigh the same, N' = (sum n
//!   m)^2 / sum n m^2 (L. Kish 1965, Survey Sampling, section 11.7), leave N' - 1 degrees of
//!   freedom; the squared error is multiplied by 1 + (1 + z^2) / (N' - 1). Half of that is what
//!   Student's quantile adds; the other half is for the long tail, and brought the share of
//!   intervals that hold the truth from 92 to 94 % in seeded samples of 50 to 100 games.
//! * A sum of times is nearly gamma distributed, exactly so for exponential ones. Its shape a is
//!   mean^2 / squared error, and the mean lies between mean x a / q(0.975) and mean x a / q(0.025),
//!   with the quantiles q of the gamma distribution of shape a and scale 1.

use super::combine::{Part, combine};
use super::gamma::quantile;
use super::interval::Interval;
use super::margin::Margin;
use super::normal::upper_tail;

/// Count, sum and sum of squares of a quantity of at least 0 measured in whole units.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Moments {
    /// Number of measurements.
    pub n: u64,
    /// Their sum, in units.
    pub sum: u64,
    /// The sum of their squares, in units squared.
    pub sum_sq: u64,
}

impl Moments {
    /// The mean in units, or `None` without measurements.
    pub fn mean(self) -> Option<f64> {
        (self.n > 0).then(|| self.sum as f64 / self.n as f64)
    }

    /// The sum of the squared deviations from the mean, in units squared; 0 without measurements.
    fn squared_deviations(self) -> f64 {
        // n sum_sq - sum^2 in 128 bits: exact, where floats would cancel.
        let squares = u128::from(self.n) * u128::from(self.sum_sq);
        let square = u128::from(self.sum).pow(2);
        squares.saturating_sub(square) as f64 / self.n.max(1) as f64
    }

    /// Both together.
    pub fn plus(self, other: Moments) -> Moments {
        Moments {
            n: self.n + other.n,
            sum: self.sum + other.sum,
            sum_sq: self.sum_sq.saturating_add(other.sum_sq),
        }
    }
}

/// No interval is that of a gamma distribution of a smaller shape: below it little more is known
/// than the sign.
const LEAST_SHAPE: f64 = 0.05;

/// The mean of all measurements in units and its interval at this mix of `groups` (see the module's
/// docs). `None` if no group has two.
///
/// The interval has no width if the measurements of each group are equal: it only knows the spread
/// that it has seen.
pub fn mean_time(groups: &[Moments], margin: Margin) -> Option<(f64, Interval)> {
    let all = groups.iter().fold(Moments::default(), |sum, &group| sum.plus(group));
    let mean = all.mean()?;
    let (mut deviations, mut freedom, mut squares) = (0.0, 0, 0.0);
    let known = groups.iter().filter_map(|group| Some((group, group.mean().filter(|m| *m > 0.0)?)));
    for (group, middle) in known {
        deviations += group.squared_deviations() / (middle * middle);
        freedom += group.n - 1;
        squares += group.n as f64 * middle * middle;
    }
    if freedom == 0 {
        return (mean == 0.0 && all.n > 1).then_some((mean, Interval::point(mean)));
    }
    let error = deviations / freedom as f64 * squares / (all.n as f64).powi(2);
    let (error, z) = (error * margin.design_effect, margin.quantile);
    if error == 0.0 {
        return Some((mean, Interval::point(mean)));
    }
    let alike = (all.sum as f64).powi(2) / squares;
    let error = error * (1.0 + (1.0 + z * z) / (alike - 1.0).max(1.0));
    let shape = (mean * mean / error).max(LEAST_SHAPE);
    let end = |p, z| mean * shape / quantile(shape, p, z);
    let interval = Interval::new(end(upper_tail(-z), z), end(upper_tail(z), -z));
    Some((mean, interval.including(mean)))
}

/// The difference `first` - `second` of two means of [`mean_time`] in units and its interval
/// ([`combine`]).
pub fn time_difference(first: (f64, Interval), second: (f64, Interval)) -> (f64, Interval) {
    let difference = first.0 - second.0;
    let parts = [Part::new(1.0, first.0, first.1), Part::new(-1.0, second.0, second.1)];
    (difference, combine(difference, &parts))
}

#[cfg(test)]
mod tests {
    use super::super::normal::Z_95;
    use super::*;
    use proptest::prelude::*;

    fn timed(groups: &[Moments], design_effect: f64) -> Option<(f64, Interval)> {
        mean_time(groups, Margin { design_effect, ..Margin::INDEPENDENT })
    }

    fn measured(values: &[u64]) -> Moments {
        Moments {
            n: values.len() as u64,
            sum: values.iter().sum(),
            sum_sq: values.iter().map(|v| v.pow(2)).sum(),
        }
    }

    fn near(got: f64, want: f64) {
        assert!((got - want).abs() < 1e-9, "{got}, want {want}");
    }

    #[test]
    fn without_two_in_a_group_there_is_no_interval() {
        assert_eq!(timed(&[], 1.0), None);
        assert_eq!(timed(&[measured(&[7]), measured(&[9])], 1.0), None);
        assert_eq!(timed(&[measured(&[0, 0])], 1.0), Some((0.0, Interval::point(0.0))));
    }

    #[test]
    fn a_difference_squares_and_adds_the_distances() {
        let (a, b) = (measured(&[40, 50, 60]), measured(&[10, 20, 40]));
        let (first, second) = (timed(&[a], 1.0).expect("known"), timed(&[b], 1.0).expect("known"));
        let (got, interval) = time_difference(first, second);
        near(got, first.0 - second.0);
        let fall = (first.0 - first.1.low).hypot(second.1.high - second.0);
        near(interval.low, got - fall);
    }

    #[test]
    fn large_sums_do_not_cancel() {
        let far: Vec<u64> = [1, 2, 3].iter().map(|v| v + 1_000_000_000).collect();
        near(measured(&far).squared_deviations(), 2.0);
    }

    /// Hand-computed: mean 1004/3; one group of two has c^2 = 2/4, the squared error is 0.5 x (2 x
    /// 4 + 1000^2) / 9, and 1004^2 / 1000008 equal games are hardly more than one, which counts as
    /// two: times 1 + 1 + z^2. Quantiles for the shape 0.345121986434: SciPy 1.17.1.
    #[test]
    fn one_game_that_holds_nearly_all_the_time_is_not_trusted() {
        let (mean, interval) = timed(&[measured(&[1, 3]), measured(&[1000])], 1.0).expect("known");
        near(mean, 1004.0 / 3.0);
        let shape = mean * mean / (0.5 * 1_000_008.0 / 9.0 * (2.0 + Z_95 * Z_95));
        near(interval.low, mean * shape / 2.052500725629486);
        assert!((interval.high * 1.6356604846990995e-05 / (mean * shape) - 1.0).abs() < 1e-9);
    }

    /// SciPy 1.17.1: `gamma.ppf(0.975, 0.05)` is 0.5671737617538583.
    #[test]
    fn a_shape_is_never_below_the_least() {
        let (mean, interval) = timed(&[measured(&[0, 1])], 1e6).expect("known");
        near(interval.low, mean * 0.05 / 0.5671737617538583);
    }

    #[test]
    fn means_below_one_unit_count_and_equal_times_have_no_width() {
        let (mean, interval) = timed(&[measured(&[0, 1, 0, 1])], 1.0).expect("known");
        let (_, tenfold) = timed(&[measured(&[0, 10, 0, 10])], 1.0).expect("known");
        near(mean, 0.5);
        near(tenfold.high, 10.0 * interval.high);
        assert_eq!(timed(&[measured(&[5, 5])], 1.0), Some((5.0, Interval::point(5.0))));
        assert_eq!(timed(&[measured(&[0])], 1.0), None);
        assert_eq!(Moments::default().squared_deviations(), 0.0);
    }

    proptest! {
        #[test]
        fn the_mean_lies_in_its_interval_and_clusters_widen_it(
            groups in prop::collection::vec(prop::collection::vec(0..90_000u64, 0..30), 1..5), cluster in 1.0..50.0f64
        ) {
            let groups: Vec<Moments> = groups.iter().map(|values| measured(values)).collect();
            if let Some((mean, interval)) = timed(&groups, 1.0) {
                let (_, wider) = timed(&groups, cluster).expect("known as before");
                prop_assert!(0.0 <= interval.low && interval.contains(mean));
                prop_assert!(wider.low <= interval.low + 1e-9 && interval.high <= wider.high + 1e-9);
            }
        }

        #[test]
        fn the_unit_does_not_matter(values in prop::collection::vec(1..5000u64, 2..40)) {
            let tenfold: Vec<u64> = values.iter().map(|v| 10 * v).collect();
            let (mean, a) = timed(&[measured(&values)], 1.0).expect("known");
            let (_, b) = timed(&[measured(&tenfold)], 1.0).expect("known");
            prop_assert!((a.scale(10.0).low - b.low).abs() < 1e-6 * mean);
        }
    }
}
