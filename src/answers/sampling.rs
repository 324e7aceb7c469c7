//! Figures out of counts: from how many games on, and with which interval.

use super::stats::{
    Interval, Margin, Moments, mean_score, mean_time, share, tango, time_difference, wilson,
};
use super::{Figure, Withheld};
use crate::counts::{Beyond, Lacking};

/// From how many games on a figure is given, and how much its games tell.
///
/// Players repeat themselves, so n games tell as much as n / D games of different players (the
/// effective sample size; D is the design effect, [`DesignEffect`](super::stats::DesignEffect)).
/// Every interval is that of counts divided by D with Student's quantile; values keep the games
/// as they are.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sampling {
    /// A share that rests on fewer games of different players than this is thin, any other
    /// figure withheld.
    pub min_sample: u64,
    /// How intervals are drawn.
    pub margin: Margin,
    /// Where the games lie behind the half-moves that are counted: then too few of them are none of
    /// the position's own.
    pub beyond: Option<Beyond>,
}

/// Games of different players.
impl From<u64> for Sampling {
    fn from(min_sample: u64) -> Sampling {
        Sampling { min_sample, margin: Margin::of(1.0), beyond: None }
    }
}

impl Sampling {
    /// The same of games of which `design_effect` tell as much as one.
    pub fn with_effect(self, design_effect: f64) -> Sampling {
        Sampling { margin: Margin::of(design_effect), ..self }
    }

    /// The same in a position of which so much is missing.
    pub fn lacking(self, lacking: Lacking) -> Sampling {
        Sampling { beyond: lacking.beyond(), ..self }
    }

    /// The same drawn so.
    pub fn with_margin(self, margin: Margin) -> Sampling {
        Sampling { margin, ..self }
    }

    /// The same with intervals that miss with probability `miss`.
    pub fn missing(self, miss: f64) -> Sampling {
        Sampling { margin: self.margin.missing(miss), ..self }
    }

    /// The least number of effective games of a figure.
    pub fn least(self) -> u64 {
        self.min_sample.max(1)
    }

    /// Whether `n` games suffice. A hair below the minimum is the minimum: games divided by an
    /// effect of 1 and a rounding.
    pub(super) fn suffices(self, n: u64) -> bool {
        n > 0 && self.effective(n) + 1e-9 >= self.least() as f64
    }

    fn effective(self, n: u64) -> f64 {
        n as f64 / self.margin.design_effect
    }

    /// Why a figure that rests on `n` games is withheld.
    pub(super) fn too_few(self, n: u64) -> Withheld {
        let (n_eff, needed) = (self.effective(n) as u64, self.least());
        self.beyond.map_or(Withheld::TooFewGames { n, n_eff, needed }, Withheld::NotCounted)
    }

    fn known(self, value: f64, interval: Interval, n: u64) -> Figure {
        Figure::known(value, interval, n).with_effect(self.margin.design_effect)
    }

    /// A figure that is withheld since `n` games are too few.
    pub(super) fn withheld(self, n: u64) -> Figure {
        Figure::withheld(n, self.too_few(n)).with_effect(self.margin.design_effect)
    }

    /// The share `k / n` with Wilson's interval; thin below the minimum sample.
    pub fn share(self, k: u64, n: u64) -> Figure {
        let figure = match (share(k, n), wilson(k, n, self.margin.z())) {
            (Some(value), Some(interval)) if self.beyond.is_none() || self.suffices(n) => {
                let known = self.known(value, interval, n);
                let (n_eff, needed) = (self.effective(n) as u64, self.least());
                let thin = (!self.suffices(n)).then_some(Withheld::Thin { n, n_eff, needed });
                Figure { value: thin.is_none().then_some(value), withheld: thin, ..known }
            }
            _ => self.withheld(n),
        };
        figure.with_k(k)
    }

    /// The mean score of wins, draws and losses with Tango's interval, 0..=1.
    pub fn score(self, wins: u64, draws: u64, losses: u64) -> Figure {
        let n = wins + draws + losses;
        // Most bands are thin, and Tango's limits are found step by step: only where
        // they are shown.
        let shown = self.suffices(n);
        let interval = shown.then(|| tango(wins, draws, losses, self.margin.z())).flatten();
        match (mean_score(wins, draws, losses), interval) {
            (Some(value), Some(interval)) => self.known(value, interval, n),
            _ => self.withheld(n),
        }
    }

    /// The mean in seconds of times by group in tenths, which needs two in one group for an
    /// interval ([`mean_time`]).
    pub fn seconds(self, groups: &[Moments]) -> Figure {
        let n = games(groups);
        // As scores: an interval is worked out only where it is shown.
        if !self.suffices(n) && groups.iter().any(|group| group.n > 1 && group.sum > 0) {
            return self.withheld(n);
        }
        self.of_times(mean_time(groups, self.margin), n)
    }

    /// Two such means and their difference `first` - `second`, which has the games of the fewer.
    pub fn seconds_of_two(self, first: &[Moments], second: &[Moments]) -> [Figure; 3] {
        let means = [first, second].map(|groups| mean_time(groups, self.margin));
        let games = [first, second].map(games);
        let difference = means[0].zip(means[1]).map(|(a, b)| time_difference(a, b));
        let n = games[0].min(games[1]);
        [(means[0], games[0]), (means[1], games[1]), (difference, n)]
            .map(|(tenths, n)| self.of_times(tenths, n))
    }

    fn of_times(self, tenths: Option<(f64, Interval)>, n: u64) -> Figure {
        match tenths {
            Some((value, interval)) if self.suffices(n) => {
                self.known(value * 0.1, interval.scale(0.1), n)
            }
            Some(_) => self.withheld(n),
            // One game a pace shows no spread, however many paces there are.
            None => {
                let needed = self.min_sample.max(2).max(n + 1);
                let few = Withheld::TooFewGames { n, n_eff: self.effective(n) as u64, needed };
                let few = self.beyond.map_or(few, Withheld::NotCounted);
                Figure { withheld: Some(few), ..self.withheld(n) }
            }
        }
    }

    /// A mean without an interval, of `n` values that add up to `sum`.
    pub fn mean(self, sum: i64, n: u64) -> Figure {
        let few = self.withheld(n);
        if !self.suffices(n) {
            return few;
        }
        Figure { value: Some(sum as f64 / n as f64), withheld: None, ..few }
    }
}

fn games(groups: &[Moments]) -> u64 {
    groups.iter().map(|group| group.n).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Wilson's formula at 23 of 60 with Student's 2.0395134 in the place of 1.9599640, worked
    /// out in Python.
    #[test]
    fn a_share_carries_its_count_and_interval() {
        let rate = Sampling::from(50).share(23, 60);
        assert_eq!((rate.k, rate.n, rate.value), (Some(23), 60, Some(23.0 / 60.0)));
        assert!((rate.low.expect("known") - 0.266870).abs() < 5.1e-7);
        assert!((rate.high.expect("known") - 0.514925).abs() < 5.1e-7);
    }

    #[test]
    fn below_the_minimum_sample_a_share_keeps_its_interval_and_says_why_it_has_no_value() {
        let sampling = Sampling::from(50);
        let thin = sampling.share(3, 49);
        assert!(thin.low.is_some_and(|low| low > 0.0) && thin.high.is_some_and(|high| high < 0.2));
        let mut json = serde_json::to_value(thin).expect("plain data");
        ["low", "high"].iter().for_each(|end| json[end] = serde_json::Value::Null);
        let want = serde_json::json!({"value": null, "low": null, "high": null, "k": 3, "n": 49,
            "n_eff": 49.0, "withheld": "thin"});
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
        let why = Withheld::TooFewGames { n: 1, n_eff: 1, needed: 2 };
        assert_eq!(Sampling::from(1).seconds(&[one]).withheld, Some(why));
    }
}
