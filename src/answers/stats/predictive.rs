//! How often something will happen in the next games: chance and the margin of the
//! estimate together.

use super::interval::Interval;
use super::student::{T_95, relative_density, t_multiplier};

/// The mixture is a sum over the multiplier from -8 to 8 in these steps; for so smooth a density
/// that is as good as the integral.
const STEP: f64 = 0.125;
const STEPS: i32 = 64;

/// The numbers that 19 of 20 series of `games` games will stay between, ends included: the 2.5
/// and 97.5 % quantiles of how often something happens whose chance in a game, 0 to 1, has this
/// 95 % interval.
///
/// The number is binomial, and its chance is drawn first. The chance is log-normal but for
/// Student's tails: exp(c + s t) with t of 31 degrees of freedom, c and s such that the interval's
/// ends are its 2.5 and 97.5 % quantiles, cut at 1. An interval that begins at 0 comes from games
/// in which it never happened: the chance is then high (t / u)^2, whose 97.5 % quantile is the
/// upper end, close to the Jeffreys posterior of no hits (a gamma distribution of shape 1/2). A
/// quantile is the smallest number that at least so large a part of the series does not exceed.
pub fn predictive_range(chance: Interval, games: u64) -> (u64, u64) {
    let mut series: Vec<Series> =
        (-STEPS..=STEPS).map(|step| Series::of(chance, STEP * f64::from(step), games)).collect();
    let whole: f64 = series.iter().map(|series| series.weight).sum();
    let (mut low, mut sum) = (None, 0.0);
    for hits in 0..games {
        sum += series.iter_mut().map(|series| series.next(hits, games)).sum::<f64>() / whole;
        if sum >= 0.025 {
            low.get_or_insert(hits);
        }
        if sum >= 0.975 {
            return (low.unwrap_or(hits), hits);
        }
    }
    (low.unwrap_or(games), games)
}

/// The series with one chance.
struct Series {
    weight: f64,
    /// Logarithms of the odds and of the probability of as many hits as were asked for last.
    odds: f64,
    probability: f64,
}

impl Series {
    fn of(interval: Interval, t: f64, games: u64) -> Series {
        let chance = match interval.low > 0.0 {
            true => {
                let (low, high) = (interval.low.ln(), interval.high.ln());
                (0.5 * (low + high) + t / T_95 * 0.5 * (high - low)).exp()
            }
            false => interval.high * (t / t_multiplier(0.025)).powi(2),
        };
        let chance = chance.clamp(1e-300, 1.0 - 1e-12);
        let never = (-chance).ln_1p();
        let probability = games as f64 * never;
        Series { weight: relative_density(t), odds: chance.ln() - never, probability }
    }

    /// The weighted probability of `hits`, which is asked for from 0 up.
    fn next(&mut self, hits: u64, games: u64) -> f64 {
        let now = self.weight * self.probability.exp();
        self.probability += ((games - hits) as f64 / (hits + 1) as f64).ln() + self.odds;
        now
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// A chance known for certain leaves the binomial distribution:
    /// `scipy.stats.binom.ppf([0.025, 0.975], n, p)`, SciPy 1.17.1.
    #[test]
    fn without_a_margin_the_range_is_binomial() {
        for (n, p, range) in
            [(50, 0.024, (0, 4)), (50, 0.5, (18, 32)), (1000, 0.1, (82, 119)), (7, 0.01, (0, 1))]
        {
            assert_eq!(predictive_range(Interval::point(p), n), range, "{n} {p}");
        }
    }

    #[test]
    fn what_cannot_happen_does_not_and_what_must_does() {
        assert_eq!(predictive_range(Interval::point(0.0), 50), (0, 0));
        assert_eq!(predictive_range(Interval::point(1.0), 50), (50, 50));
        assert_eq!(predictive_range(Interval::new(0.1, 0.2), 0), (0, 0));
        assert_eq!(predictive_range(Interval::new(0.0, 0.02), 50).0, 0);
    }

    /// The mixture of binomial numbers over a chance of `high` (t / u)^2, integrated with SciPy
    /// 1.17.1 (`quad`, `stats.t`, `stats.binom`).
    #[test]
    fn what_never_happened_may_happen_yet() {
        for (high, games, most) in [(0.02, 50, 2), (0.1, 50, 6), (0.3, 200, 61)] {
            assert_eq!(predictive_range(Interval::new(0.0, high), games), (0, most), "{high}");
        }
    }

    proptest! {
        #[test]
        fn a_wider_margin_never_narrows_the_range(low in 0.001..0.9f64, wide in 1.0..4.0f64, games in 1..200u64) {
            let middle = Interval::point(low);
            let wider = Interval::new(low / wide, (low * wide).min(1.0));
            let (sure, unsure) = (predictive_range(middle, games), predictive_range(wider, games));
            prop_assert!(sure.0 <= sure.1 && sure.1 <= games);
            // Cut at 1 the wider one also moves down.
            prop_assert!(unsure.0 <= sure.0 && (unsure.1 >= sure.1 || low * wide > 1.0));
        }
    }
}
