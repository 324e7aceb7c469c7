//! A figure in a cell: value, interval and count, or `- (3 games)`; and why it is
//! withheld, in words.

use std::collections::BTreeSet;

use super::numbers::{as_good, count, counted, decimals, fixed, signed};
use super::words;
use crate::answers::{Figure, Withheld};

/// In which way a figure is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Unit {
    /// A share, `k` of `n`, as percent.
    Share,
    /// A fraction that is no share of games, such as a score or a chance, as percent.
    Percent,
    /// Points a game as signed percent of a point.
    Edge,
    /// A signed number.
    Points,
    /// A number that is not negative.
    Number,
    /// Centipawns as signed pawns.
    Pawns,
}

/// A figure and how it is written.
#[derive(Clone, Copy, Debug)]
pub(super) struct FigureView<'a> {
    pub figure: &'a Figure,
    unit: Unit,
    /// Whether it is made of several shares, so that `k` is not of the value.
    product: bool,
}

impl FigureView<'_> {
    /// The same of a product of shares: it rests on `n` games at the rarest step, and has no
    /// `k` of its own.
    pub(super) fn product(self) -> Self {
        FigureView { product: true, ..self }
    }

    /// The value without its interval, or `- (3 games)`; `-` where no number of games would help.
    pub(super) fn value(&self) -> String {
        match (self.figure.value, &self.figure.withheld) {
            (Some(value), _) => self.unit.write(value, self.decimals()),
            (None, Some(Withheld::NoBait | Withheld::TooLong { .. } | Withheld::NotCounted(_))) => {
                "-".into()
            }
            // The interval says what is known.
            (None, Some(Withheld::Thin { .. })) => String::new(),
            (None, _) => format!("- ({})", counted(self.figure.n, "game")),
        }
    }

    /// `[low, high]`, empty where there is none.
    pub(super) fn interval(&self) -> String {
        let Some((low, high)) = self.figure.low.zip(self.figure.high) else {
            return String::new();
        };
        let decimals = self.decimals();
        format!("[{}, {}]", self.unit.write(low, decimals), self.unit.write(high, decimals))
    }

    /// `value [low, high]` on one line.
    pub(super) fn line(&self) -> String {
        format!("{} {}", self.value(), self.interval()).trim().to_owned()
    }

    /// The same with its [`mark`](Self::mark), for sentences; a thin share as
    /// `13 of 43 [19, 46] %`.
    pub(super) fn said(&self) -> String {
        let games = if self.is_thin() { self.games() + " " } else { String::new() };
        games + &self.line() + self.mark()
    }

    /// Whether there is an interval and no value.
    pub(super) fn is_thin(&self) -> bool {
        matches!(self.figure.withheld, Some(Withheld::Thin { .. }))
    }

    /// `41 of 334`, or `334` for what is no share of games.
    fn games(&self) -> String {
        let Figure { k, n, .. } = self.figure;
        match k.filter(|_| !self.product) {
            Some(k) => format!("{} of {}", count(k), count(*n)),
            None => count(*n),
        }
    }

    /// `as good as 210` where players came again.
    fn effective(&self) -> Option<String> {
        as_good(self.figure.n, self.figure.n_eff)
    }

    /// `41 of 334 (as good as 210)`.
    pub(super) fn count(&self) -> String {
        let effective = self.effective().map_or(String::new(), |games| format!(" ({games})"));
        self.games() + &effective
    }

    /// The same on two lines, for a column; empty where the value tells the games.
    pub(super) fn counts(&self) -> String {
        if self.figure.low.is_none() && self.figure.value.is_none() {
            return String::new();
        }
        let effective = self.effective().map_or(String::new(), |games| format!("\n({games})"));
        self.games() + &effective
    }

    /// Value, interval and count below each other; a withheld figure is its value alone.
    pub(super) fn stack(&self) -> String {
        if self.figure.low.is_none() && self.figure.value.is_none() {
            return self.value();
        }
        let value = self.value() + if self.figure.value.is_some() { self.mark() } else { "" };
        let lines = [value, self.interval(), self.counts()];
        lines
            .iter()
            .filter(|line| !line.is_empty())
            .map(String::as_str)
            .collect::<Vec<_>>()
            .join("\n")
    }

    /// What follows the value and the interval where no column head names the unit.
    pub(super) fn mark(&self) -> &'static str {
        match self.unit {
            Unit::Share | Unit::Percent | Unit::Edge
                if self.figure.low.or(self.figure.value).is_some() =>
            {
                " %"
            }
            _ => "",
        }
    }

    /// One number of decimals for value and interval, so that they can be compared.
    fn decimals(&self) -> usize {
        let unit = self.unit;
        let Figure { value, low, high, .. } = self.figure;
        let ends = [value, low, high].into_iter().flatten();
        let scale = ends.map(|end| (end * unit.factor()).abs()).fold(0.0, f64::max);
        if unit == Unit::Pawns { 2 } else { decimals(scale) }
    }
}

impl Unit {
    /// A figure written so.
    pub(super) fn view(self, figure: &Figure) -> FigureView<'_> {
        FigureView { figure, unit: self, product: false }
    }

    /// Whether figures of this unit are shares, with `k` of `n` games.
    pub(super) fn is_share(self) -> bool {
        self == Unit::Share
    }

    fn factor(self) -> f64 {
        match self {
            Unit::Share | Unit::Percent | Unit::Edge => 100.0,
            Unit::Pawns => 0.01,
            Unit::Points | Unit::Number => 1.0,
        }
    }

    fn write(self, x: f64, decimals: usize) -> String {
        let x_scaled = x * self.factor();
        match self {
            Unit::Share | Unit::Percent | Unit::Number => fixed(x_scaled, decimals),
            Unit::Edge | Unit::Points | Unit::Pawns => signed(x_scaled, decimals),
        }
    }
}

/// Why a figure is withheld: `edge refuted: only 40 games`.
pub(super) fn reason(why: &Withheld) -> String {
    match why {
        Withheld::TooFewGames { n: 0, .. } => "no games".into(),
        Withheld::TooFewGames { n, n_eff, .. } | Withheld::Thin { n, n_eff, .. } => {
            let as_good = if n_eff < n { format!(" (as good as {n_eff})") } else { String::new() };
            format!("only {}{as_good}", counted(*n, "game"))
        }
        Withheld::NeedsAnother { figure, why } => {
            let name = match *figure {
                "edge_no_slip" => "edge without the slip".to_owned(),
                "edge_others" => "edge of the other moves".to_owned(),
                "edge_replies" => "edge of all replies".to_owned(),
                "edge_slip" => "edge of the slip".to_owned(),
                "usual" => "edge of the others".to_owned(),
                other => other.replace('_', " "),
            };
            format!("{name}: {}", reason(why))
        }
        Withheld::NoBait => "no bait: the slip is the first move".into(),
        Withheld::NotCounted(beyond) => words::not_counted(*beyond),
        Withheld::TooLong { moves, most } => {
            format!("{moves} moves before the slip, at most {most} are put in every order")
        }
    }
}

/// The kinds of reasons for which figures of a table are withheld, each said once below it.
#[derive(Debug, Default)]
pub(super) struct Reasons(BTreeSet<String>);

impl Reasons {
    /// Notes why the figure is withheld, if it is.
    pub(super) fn note(&mut self, figure: &Figure) {
        let reason = match &figure.withheld {
            None => return,
            Some(Withheld::TooFewGames { needed: 0..=1, .. }) => "no games".to_owned(),
            Some(Withheld::TooFewGames { n, needed, .. }) if n >= needed => {
                let games = counted(*needed, "game");
                format!("as good as fewer than {games} of different players, the minimum sample")
            }
            Some(Withheld::TooFewGames { needed, .. }) => {
                format!("fewer than {}, the minimum sample", counted(*needed, "game"))
            }
            // Its interval is shown.
            Some(Withheld::Thin { .. }) => return,
            Some(Withheld::NeedsAnother { .. }) => {
                "needs another figure that has too few games".to_owned()
            }
            Some(why) => reason(why),
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
    use crate::answers::Sampling;
    use crate::pages::kit::mean;

    #[test]
    fn value_and_interval_share_their_decimals() {
        let edge = mean(0.0004, -0.012, 0.0131, 60);
        assert_eq!(Unit::Edge.view(&edge).line(), "0.0 [-1.2, +1.3]");
        let small = mean(0.004, 0.002, 0.006, 60);
        assert_eq!(Unit::Percent.view(&small).said(), "0.40 [0.20, 0.60] %");
    }

    /// Wilson's formula at 13 of 43 with Student's 2.0395134, worked out in Python: 0.182254
    /// to 0.457268.
    #[test]
    fn a_thin_share_shows_count_and_interval_and_no_value() {
        let rate = Sampling::from(50).share(13, 43);
        let mut reasons = Reasons::default();
        reasons.note(&rate);
        let view = Unit::Share.view(&rate);
        assert_eq!(view.said(), "13 of 43 [18.2, 45.7] %");
        assert_eq!(view.stack(), "[18.2, 45.7]\n13 of 43");
        assert_eq!(reasons.sentence(), None);
    }

    #[test]
    fn games_of_few_players_say_how_many_they_are_as_good_as() {
        let rate = Sampling::from(50).with_effect(218.0 / 160.0).share(97, 218);
        let view = Unit::Share.view(&rate);
        assert_eq!(view.count(), "97 of 218 (as good as 160)");
        assert_eq!(view.counts(), "97 of 218\n(as good as 160)");
        assert_eq!(view.product().count(), "218 (as good as 160)");
        assert_eq!(Unit::Edge.view(&Sampling::from(50).score(0, 0, 3)).counts(), "");
    }

    #[test]
    fn a_withheld_figure_shows_its_games() {
        let score = Sampling::from(50).score(1, 0, 2);
        let mut reasons = Reasons::default();
        reasons.note(&score);
        assert_eq!(Unit::Percent.view(&score).stack(), "- (3 games)");
        let sentence = "Withheld (-): fewer than 50 games, the minimum sample.";
        assert_eq!(reasons.sentence().as_deref(), Some(sentence));
        let why = Box::new(score.withheld.expect("too few"));
        let made = Withheld::NeedsAnother { figure: "edge_no_slip", why };
        assert_eq!(reason(&made), "edge without the slip: only 3 games");
        let long = Withheld::TooLong { moves: 14, most: 12 };
        assert!(reason(&long).starts_with("14 moves before the slip, at most 12"));
    }
}
