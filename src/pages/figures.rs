//! A figure in a cell: value, interval and count, or `- (3 games)`.

use std::collections::BTreeSet;

use super::numbers::{count, counted, decimals, fixed, one_in, signed};
use crate::answers::trap::Steered;
use crate::answers::{Mean, Rate, Withheld};

/// In which way a figure is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Unit {
    /// A fraction as percent.
    Percent,
    /// Points a game as signed percent of a point.
    Edge,
    /// A signed number.
    Points,
    /// A number that is not negative.
    Number,
    /// Centipawns as signed pawns.
    Pawns,
    /// A fraction as `1 in 37`, as percent above one half.
    OneIn,
}

/// What the pages show of a [`Rate`], a [`Mean`] or a [`Steered`].
#[derive(Clone, Copy, Debug)]
pub(super) struct Shown<'a> {
    pub value: Option<f64>,
    pub low: Option<f64>,
    pub high: Option<f64>,
    /// Games that have the property, for a rate.
    pub k: Option<u64>,
    pub n: u64,
    pub withheld: Option<&'a Withheld>,
}

impl<'a> From<&'a Rate> for Shown<'a> {
    fn from(rate: &'a Rate) -> Shown<'a> {
        let Rate { value, low, high, k, n, withheld } = rate;
        Shown {
            value: *value,
            low: *low,
            high: *high,
            k: Some(*k),
            n: *n,
            withheld: withheld.as_ref(),
        }
    }
}

impl<'a> From<&'a Mean> for Shown<'a> {
    fn from(mean: &'a Mean) -> Shown<'a> {
        let Mean { value, low, high, n, withheld } = mean;
        Shown { value: *value, low: *low, high: *high, k: None, n: *n, withheld: withheld.as_ref() }
    }
}

impl<'a> From<&'a Steered> for Shown<'a> {
    fn from(steered: &'a Steered) -> Shown<'a> {
        Shown::from(&steered.rate)
    }
}

impl Shown<'_> {
    /// The value without its interval, or `- (3 games)`; `-` where no number of games would help.
    pub(super) fn value(&self, unit: Unit) -> String {
        let unit = self.fitting(unit);
        match (self.value, self.withheld) {
            (Some(value), _) => unit.write(value, self.decimals(unit)),
            (None, Some(Withheld::NoBait | Withheld::NoRefutation | Withheld::TooLong { .. })) => {
                "-".into()
            }
            (None, _) => format!("- ({})", counted(self.n, "game")),
        }
    }

    /// `[low, high]`, empty where there is none.
    pub(super) fn interval(&self, unit: Unit) -> String {
        let Some((low, high)) = self.low.zip(self.high) else {
            return String::new();
        };
        let unit = self.fitting(unit);
        let decimals = self.decimals(unit);
        format!("[{}, {}]", unit.write(low, decimals), unit.write(high, decimals))
    }

    /// `value [low, high]` on one line.
    pub(super) fn line(&self, unit: Unit) -> String {
        format!("{} {}", self.value(unit), self.interval(unit)).trim_end().to_owned()
    }

    /// `41 of 334`, or `334` for a mean.
    pub(super) fn count(&self) -> String {
        match self.k {
            Some(k) => format!("{} of {}", count(k), count(self.n)),
            None => count(self.n),
        }
    }

    /// Value, interval and count below each other; a withheld figure is its value alone.
    pub(super) fn stack(&self, unit: Unit) -> String {
        match self.value {
            Some(_) => {
                let (value, interval) = (self.value(unit), self.interval(unit));
                format!("{value}{}\n{interval}\n{}", self.mark(unit), self.count())
            }
            None => self.value(unit),
        }
    }

    /// What follows the value and the interval where no column head names the unit.
    pub(super) fn mark(&self, unit: Unit) -> &'static str {
        match self.fitting(unit) {
            Unit::Percent | Unit::Edge if self.value.is_some() => " %",
            _ => "",
        }
    }

    /// The unit, but percent for what happens in more than half of the games: "one in" is no help there.
    fn fitting(&self, unit: Unit) -> Unit {
        if unit == Unit::OneIn && self.value > Some(0.5) { Unit::Percent } else { unit }
    }

    /// One number of decimals for value and interval, so that they can be compared.
    fn decimals(&self, unit: Unit) -> usize {
        let ends = [self.value, self.low, self.high].into_iter().flatten();
        let scale = ends.map(|end| (end * unit.factor()).abs()).fold(0.0, f64::max);
        if unit == Unit::Pawns { 2 } else { decimals(scale) }
    }
}

impl Unit {
    fn factor(self) -> f64 {
        match self {
            Unit::Percent | Unit::Edge => 100.0,
            Unit::Pawns => 0.01,
            Unit::Points | Unit::Number | Unit::OneIn => 1.0,
        }
    }

    fn write(self, x: f64, decimals: usize) -> String {
        let x_scaled = x * self.factor();
        match self {
            Unit::OneIn => one_in(x),
            Unit::Percent | Unit::Number => fixed(x_scaled, decimals),
            Unit::Edge | Unit::Points | Unit::Pawns => signed(x_scaled, decimals),
        }
    }
}

/// The kinds of reasons for which figures of a table are withheld, each said once below it.
#[derive(Debug, Default)]
pub(super) struct Reasons(BTreeSet<String>);

impl Reasons {
    /// Notes why the figure is withheld, if it is.
    pub(super) fn note(&mut self, shown: Shown<'_>) {
        let reason = match shown.withheld {
            None => return,
            Some(Withheld::TooFew { needed: 0..=1, .. }) => "no games".to_owned(),
            Some(Withheld::TooFew { needed, .. }) => {
                format!("fewer than {}, the minimum sample", counted(*needed, "game"))
            }
            Some(Withheld::Piece { .. }) => "made of a figure that is itself withheld".to_owned(),
            Some(why) => why.to_string(),
        };
        self.0.insert(reason);
    }

    /// One sentence, none if nothing is withheld.
    pub(super) fn sentence(&self) -> Option<String> {
        let reasons: Vec<&str> = self.0.iter().map(String::as_str).collect();
        (!reasons.is_empty()).then(|| format!("Withheld (-): {}.", reasons.join("; ")))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mean(value: f64, low: f64, high: f64) -> Mean {
        Mean { value: Some(value), low: Some(low), high: Some(high), n: 60, withheld: None }
    }

    #[test]
    fn value_and_interval_share_their_decimals() {
        let edge = mean(0.0004, -0.012, 0.0131);
        assert_eq!(Shown::from(&edge).line(Unit::Edge), "0.0 [-1.2, +1.3]");
        let small = mean(0.004, 0.002, 0.006);
        assert_eq!(Shown::from(&small).line(Unit::Percent), "0.40 [0.20, 0.60]");
    }

    #[test]
    fn what_mostly_happens_is_a_percentage_and_not_one_in_so_many() {
        let [often, seldom] = [mean(0.9, 0.8, 0.95), mean(0.5, 0.4, 0.625)];
        let shown = [&often, &seldom].map(|mean| Shown::from(mean).stack(Unit::OneIn));
        assert_eq!(shown, ["90.0 %\n[80.0, 95.0]\n60", "1 in 2\n[1 in 2.5, 1 in 1.6]\n60"]);
    }

    #[test]
    fn a_withheld_figure_shows_its_games() {
        let rate = Rate::of(1, 3, 50);
        let mut reasons = Reasons::default();
        reasons.note(Shown::from(&rate));
        assert_eq!(Shown::from(&rate).stack(Unit::Percent), "- (3 games)");
        let sentence = "Withheld (-): fewer than 50 games, the minimum sample.";
        assert_eq!(reasons.sentence().as_deref(), Some(sentence));
    }
}
