//! Figures out of counts: from how many games on, and with which interval.

use super::stats::{
    Interval, Moments, Z_95, mean_score, mean_time, share, tango_at, time_difference, wilson_at,
};
use super::{Figure, Withheld};

/// From how many games on a figure is given, and how much its games tell.
///
/// Games of one player, or of one evening, hang together. If they come in clusters of `cluster` games that
/// are wholly alike, n games tell as much as n / cluster independent ones: the effective sample size, as
/// survey statistics has it (L. Kish 1965, Survey Sampling, section 8.2, "design effect"). Every interval is that
/// of counts divided by `cluster`; values and the minimum sample keep the games as they are.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sampling {
    /// A figure that rests on fewer games than this is withheld.
    pub min_sample: u64,
    /// Games a cluster, 1 or more.
    pub cluster: f64,
}

/// Independent games.
impl From<u64> for Sampling {
    fn from(min_sample: u64) -> Sampling {
        Sampling { min_sample, cluster: 1.0 }
    }
}

impl Sampling {
    /// The normal quantile of intervals that take games one by one: counts divided by the cluster and the quantile
    /// z give the same interval as whole counts and z sqrt(cluster), for Wilson, Tango and means alike.
    fn z(self) -> f64 {
        Z_95 * self.cluster.max(1.0).sqrt()
    }

    /// The least number of games of a figure.
    pub fn least(self) -> u64 {
        self.min_sample.max(1)
    }

    /// Why a figure that rests on `n` games is withheld.
    pub(super) fn too_few(self, n: u64) -> Withheld {
        Withheld::TooFewGames { n, needed: self.least() }
    }

    /// The share `k / n` with Wilson's interval.
    pub fn share(self, k: u64, n: u64) -> Figure {
        let figure = match (share(k, n), wilson_at(k, n, self.z())) {
            (Some(value), Some(interval)) if n >= self.min_sample => {
                Figure::known(value, interval, n)
            }
            _ => Figure::withheld(n, self.too_few(n)),
        };
        figure.with_k(k)
    }

    /// The mean score of wins, draws and losses with Tango's interval, 0..=1.
    pub fn score(self, wins: u64, draws: u64, losses: u64) -> Figure {
        let n = wins + draws + losses;
        // Most bands are thin, and Tango's limits are found step by step: only where they are shown.
        let shown = n >= self.min_sample;
        let interval = shown.then(|| tango_at(wins, draws, losses, self.z())).flatten();
        match (mean_score(wins, draws, losses), interval) {
            (Some(value), Some(interval)) => Figure::known(value, interval, n),
            _ => Figure::withheld(n, self.too_few(n)),
        }
    }

    /// The mean in seconds of times by group in tenths, which needs two in one group for an interval ([`mean_time`]).
    pub fn seconds(self, groups: &[Moments]) -> Figure {
        self.of_times(mean_time(groups, self.cluster), games(groups))
    }

    /// The difference `first` - `second` of two such means; `n` is the games of the fewer.
    pub fn seconds_more(self, first: &[Moments], second: &[Moments]) -> Figure {
        let n = games(first).min(games(second));
        self.of_times(time_difference(first, second, self.cluster), n)
    }

    fn of_times(self, tenths: Option<(f64, Interval)>, n: u64) -> Figure {
        let needed = match tenths {
            Some((value, interval)) if n >= self.min_sample => {
                return Figure::known(value * 0.1, interval.scale(0.1), n);
            }
            Some(_) => self.min_sample,
            // One game a pace shows no spread, however many paces there are.
            None => self.min_sample.max(2).max(n + 1),
        };
        Figure::withheld(n, Withheld::TooFewGames { n, needed })
    }

    /// A mean without an interval, of `n` values that add up to `sum`.
    pub fn mean(self, sum: i64, n: u64) -> Figure {
        if n < self.least() {
            return Figure::withheld(n, self.too_few(n));
        }
        let value = Some(sum as f64 / n as f64);
        Figure { value, low: None, high: None, k: None, n, withheld: None }
    }
}

fn games(groups: &[Moments]) -> u64 {
    groups.iter().map(|group| group.n).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Wilson at 23 of 60: 0.270883 to 0.509824, statsmodels 0.15.0 `proportion_confint`.
    #[test]
    fn a_share_carries_its_count_and_interval() {
        let rate = Sampling::from(50).share(23, 60);
        assert_eq!((rate.k, rate.n, rate.value), (Some(23), 60, Some(23.0 / 60.0)));
        assert!((rate.low.expect("known") - 0.270883).abs() < 5.1e-7);
        assert!((rate.high.expect("known") - 0.509824).abs() < 5.1e-7);
    }

    #[test]
    fn below_the_minimum_sample_a_share_is_null_and_says_why() {
        let sampling = Sampling::from(50);
        let json = serde_json::to_value(sampling.share(3, 49)).expect("plain data");
        let want = serde_json::json!({"value": null, "low": null, "high": null, "k": 3, "n": 49,
            "withheld": "too_few_games"});
        assert_eq!(json, want);
        assert!(sampling.share(3, 50).value.is_some());
    }

    #[test]
    fn no_games_are_withheld_even_without_a_minimum() {
        let none = Sampling::from(0);
        assert_eq!(none.share(0, 0).withheld.map(|why| why.code()), Some("no_games"));
        assert_eq!((none.score(0, 0, 0).value, none.mean(0, 0).value), (None, None));
    }

    #[test]
    fn one_measurement_has_no_interval_and_is_withheld() {
        let one = Moments { n: 1, sum: 30, sum_sq: 900 };
        let why = Withheld::TooFewGames { n: 1, needed: 2 };
        assert_eq!(Sampling::from(1).seconds(&[one]).withheld, Some(why));
    }
}
