//! Figures with their counts and intervals, or with the reason why they are withheld.

use std::fmt;

use serde::{Serialize, Serializer};

use super::Sampling;
use super::stats::{
    Interval, Moments, mean_score, mean_time, share, tango_at, time_difference, wilson_at,
};

/// A share: `k` of `n` games, with its 95 % interval.
///
/// `value`, `low` and `high` are fractions 0..=1, all three known or all three withheld.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Rate {
    /// The share.
    pub value: Option<f64>,
    /// Lower end of the interval.
    pub low: Option<f64>,
    /// Upper end of the interval.
    pub high: Option<f64>,
    /// Games that have the property.
    pub k: u64,
    /// Games that could have it.
    pub n: u64,
    /// Why there is no value.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub withheld: Option<Withheld>,
}

/// A mean, or a figure made of several, with its 95 % interval, in a unit that its place tells.
///
/// Without a `value` there is a reason; a value may stand without an interval only where the counts
/// know no spread (evaluations).
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Mean {
    /// The mean.
    pub value: Option<f64>,
    /// Lower end of the interval.
    pub low: Option<f64>,
    /// Upper end of the interval.
    pub high: Option<f64>,
    /// Games it rests on; for a figure made of several, those of the thinnest one.
    pub n: u64,
    /// Why there is no value.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub withheld: Option<Withheld>,
}

/// Why a figure is withheld; serialised as its text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Withheld {
    /// Fewer games than asked for.
    TooFew {
        /// Games there are.
        n: u64,
        /// Games asked for.
        needed: u64,
    },
    /// A figure that this one is made of is itself withheld.
    Piece {
        /// Which one, in words.
        piece: &'static str,
        /// Why that one is.
        why: Box<Withheld>,
    },
    /// The slip is the first move of the game: the setter has laid nothing.
    NoBait,
    /// The line ends with the slip.
    NoRefutation,
    /// The line is too long to look at every order of its moves.
    TooLong {
        /// Moves of the victim before the slip.
        moves: usize,
        /// The most that are looked at.
        most: usize,
    },
}

/// A known value and its 95 % interval.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Estimate {
    pub value: f64,
    pub interval: Interval,
}

impl Withheld {
    /// The reason why a figure made of `piece` is withheld.
    pub(super) fn piece(piece: &'static str, why: &Withheld) -> Withheld {
        match why {
            Withheld::TooFew { .. } => Withheld::Piece { piece, why: Box::new(why.clone()) },
            // A reason that lies in the line, or that already names its piece, says it all.
            _ => why.clone(),
        }
    }
}

impl fmt::Display for Withheld {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Withheld::TooFew { n: 0, .. } => f.write_str("no games"),
            Withheld::TooFew { n, needed } => {
                write!(f, "{n} {}, {needed} needed", if *n == 1 { "game" } else { "games" })
            }
            Withheld::Piece { piece, why } => write!(f, "{piece}: {why}"),
            Withheld::NoBait => f.write_str("no bait: the slip is the first move"),
            Withheld::NoRefutation => f.write_str("the line ends with the slip"),
            Withheld::TooLong { moves, most } => {
                write!(f, "{moves} moves before the slip, at most {most} are put in every order")
            }
        }
    }
}

impl Serialize for Withheld {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.collect_str(self)
    }
}

impl Rate {
    /// The share `k / n` with Wilson's interval, withheld below `min_sample` games or without any.
    pub fn of(k: u64, n: u64, sampling: impl Into<Sampling>) -> Rate {
        let sampling = sampling.into();
        let min_sample = sampling.min_sample;
        match (share(k, n), wilson_at(k, n, sampling.z())) {
            (Some(value), Some(interval)) if n >= min_sample => Rate::known(value, interval, k, n),
            _ => Rate::withheld(k, n, Withheld::TooFew { n, needed: min_sample.max(1) }),
        }
    }

    pub(super) fn known(value: f64, interval: Interval, k: u64, n: u64) -> Rate {
        let (low, high) = (Some(interval.low), Some(interval.high));
        Rate { value: Some(value), low, high, k, n, withheld: None }
    }

    pub(super) fn withheld(k: u64, n: u64, why: Withheld) -> Rate {
        Rate { value: None, low: None, high: None, k, n, withheld: Some(why) }
    }

    /// Value and interval, or the reason why a figure made of this one, here called `piece`, has none.
    pub(super) fn as_piece(&self, piece: &'static str) -> Result<Estimate, Withheld> {
        estimate((self.value, self.low, self.high), self.n, self.withheld.as_ref())
            .map_err(|why| Withheld::piece(piece, &why))
    }
}

impl Mean {
    /// The mean score of wins, draws and losses with Tango's interval, 0..=1.
    pub fn score(wins: u64, draws: u64, losses: u64, sampling: impl Into<Sampling>) -> Mean {
        let sampling = sampling.into();
        let min_sample = sampling.min_sample;
        let n = wins + draws + losses;
        // Most bands are thin, and Tango's limits are found step by step: only where they are shown.
        let shown = n >= min_sample;
        let interval = shown.then(|| tango_at(wins, draws, losses, sampling.z())).flatten();
        match (mean_score(wins, draws, losses), interval) {
            (Some(value), Some(interval)) => Mean::known(value, interval, n),
            _ => Mean::withheld(n, Withheld::TooFew { n, needed: min_sample.max(1) }),
        }
    }

    /// The mean of times by group in their unit, which needs two in one group for an interval ([`mean_time`]).
    pub fn of_times(groups: &[Moments], unit: f64, sampling: impl Into<Sampling>) -> Mean {
        let sampling = sampling.into();
        let n = groups.iter().map(|group| group.n).sum();
        Mean::from_times(mean_time(groups, sampling.cluster), n, unit, sampling)
    }

    /// The difference `first` - `second` of two mean times in their unit; `n` is the games of the fewer.
    pub(super) fn difference(
        first: &[Moments],
        second: &[Moments],
        unit: f64,
        sampling: impl Into<Sampling>,
    ) -> Mean {
        let sampling = sampling.into();
        let games = |groups: &[Moments]| groups.iter().map(|group| group.n).sum::<u64>();
        let n = games(first).min(games(second));
        Mean::from_times(time_difference(first, second, sampling.cluster), n, unit, sampling)
    }

    fn from_times(known: Option<(f64, Interval)>, n: u64, unit: f64, sampling: Sampling) -> Mean {
        let needed = match known {
            Some((value, interval)) if n >= sampling.min_sample => {
                return Mean::known(value * unit, interval.scale(unit), n);
            }
            Some(_) => sampling.min_sample,
            // One game a pace shows no spread, however many paces there are.
            None => sampling.min_sample.max(2).max(n + 1),
        };
        Mean::withheld(n, Withheld::TooFew { n, needed })
    }

    /// A mean without an interval, of `n` values that add up to `sum`.
    pub fn plain(sum: i64, n: u64, min_sample: u64) -> Mean {
        if n == 0 || n < min_sample {
            return Mean::withheld(n, Withheld::TooFew { n, needed: min_sample.max(1) });
        }
        Mean { value: Some(sum as f64 / n as f64), low: None, high: None, n, withheld: None }
    }

    pub(super) fn known(value: f64, interval: Interval, n: u64) -> Mean {
        let (low, high) = (Some(interval.low), Some(interval.high));
        Mean { value: Some(value), low, high, n, withheld: None }
    }

    pub(super) fn withheld(n: u64, why: Withheld) -> Mean {
        Mean { value: None, low: None, high: None, n, withheld: Some(why) }
    }

    /// The known figure, or the withheld one that rests on `n` games.
    pub(super) fn from_result(result: Result<Estimate, Withheld>, n: u64) -> Mean {
        match result {
            Ok(estimate) => Mean::known(estimate.value, estimate.interval, n),
            Err(why) => Mean::withheld(n, why),
        }
    }

    /// A known mean moved by a constant in value and interval.
    pub(super) fn shifted(self, by: f64) -> Mean {
        let moved = |end: Option<f64>| end.map(|end| end + by);
        Mean { value: moved(self.value), low: moved(self.low), high: moved(self.high), ..self }
    }

    /// Value and interval, or the reason why a figure made of this one, here called `piece`, has none.
    pub(super) fn as_piece(&self, piece: &'static str) -> Result<Estimate, Withheld> {
        estimate((self.value, self.low, self.high), self.n, self.withheld.as_ref())
            .map_err(|why| Withheld::piece(piece, &why))
    }
}

fn estimate(
    ends: (Option<f64>, Option<f64>, Option<f64>),
    n: u64,
    withheld: Option<&Withheld>,
) -> Result<Estimate, Withheld> {
    match ends {
        (Some(value), Some(low), Some(high)) => {
            Ok(Estimate { value, interval: Interval::new(low, high) })
        }
        _ => Err(withheld.cloned().unwrap_or(Withheld::TooFew { n, needed: n + 1 })),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Wilson at 23 of 60: 0.270883 to 0.509824, statsmodels 0.15.0 `proportion_confint`.
    #[test]
    fn a_rate_carries_its_count_and_interval() {
        let rate = Rate::of(23, 60, 50);
        assert_eq!((rate.k, rate.n, rate.value), (23, 60, Some(23.0 / 60.0)));
        assert!((rate.low.expect("known") - 0.270883).abs() < 5.1e-7);
        assert!((rate.high.expect("known") - 0.509824).abs() < 5.1e-7);
    }

    #[test]
    fn below_the_minimum_sample_a_rate_is_null_and_says_why() {
        let json = serde_json::to_value(Rate::of(3, 49, 50)).expect("plain data");
        let want = serde_json::json!({"value": null, "low": null, "high": null, "k": 3, "n": 49,
            "withheld": "49 games, 50 needed"});
        assert_eq!(json, want);
        assert!(Rate::of(3, 50, 50).value.is_some());
    }

    #[test]
    fn no_games_are_withheld_even_without_a_minimum() {
        assert_eq!(Rate::of(0, 0, 0).withheld.expect("no value").to_string(), "no games");
        assert_eq!(Mean::score(0, 0, 0, 0).value, None);
    }

    #[test]
    fn one_measurement_has_no_interval_and_is_withheld() {
        let one = Moments { n: 1, sum: 30, sum_sq: 900 };
        assert_eq!(
            Mean::of_times(&[one], 0.1, 1).withheld,
            Some(Withheld::TooFew { n: 1, needed: 2 })
        );
    }

    #[test]
    fn a_reason_names_the_piece_once() {
        let thin = Mean::score(1, 1, 1, 50);
        let first = thin.as_piece("edge refuted").expect_err("thin");
        let text = "edge refuted: 3 games, 50 needed";
        assert_eq!(first.to_string(), text);
        let net = Mean::withheld(3, first);
        assert_eq!(net.as_piece("net").expect_err("withheld").to_string(), text);
    }
}
