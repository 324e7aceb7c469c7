//! A figure: a value with its interval and counts, or the reason why there is none.

use serde::{Serialize, Serializer};

use super::stats::{Interval, Part, combine};
use crate::counts::Beyond;

/// A share, a mean, or a number made of several, with its 95 % interval, in a unit that its
/// place tells.
///
/// Without a `value` there is a reason; a thin share has its interval all the same. A value is
/// without an interval only where the counts know no spread (evaluations).
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Figure {
    /// The value; a share or a score is a fraction 0..=1.
    pub value: Option<f64>,
    /// Lower end of the interval.
    pub low: Option<f64>,
    /// Upper end of the interval.
    pub high: Option<f64>,
    /// Games that have the property, for a share.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub k: Option<u64>,
    /// Games it rests on; for a figure made of several, those of the thinnest one.
    pub n: u64,
    /// Games of different players that tell as much.
    pub n_eff: f64,
    /// Why there is no value.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub withheld: Option<Withheld>,
}

/// Why a figure is withheld; serialised as its code.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Withheld {
    /// Fewer games than asked for, or games of too few players.
    TooFewGames {
        /// Games there are.
        n: u64,
        /// Games of different players that tell as much, rounded down.
        n_eff: u64,
        /// Games of different players asked for.
        needed: u64,
    },
    /// A share of so few games that its value would mislead; its interval is given.
    Thin {
        /// Games there are.
        n: u64,
        /// Games of different players that tell as much, rounded down.
        n_eff: u64,
        /// Games of different players asked for.
        needed: u64,
    },
    /// A figure that this one is made of is itself withheld.
    NeedsAnother {
        /// Which one, by its name in JSON.
        figure: &'static str,
        /// Why that one is.
        why: Box<Withheld>,
    },
    /// The slip is the first move of the game: the setter has laid nothing.
    NoBait,
    /// The line is too long to look at every order of its moves.
    TooLong {
        /// Moves of the victim before the slip.
        moves: usize,
        /// The most that are looked at.
        most: usize,
    },
    /// The position lies behind the half-moves that are counted.
    NotCounted(Beyond),
}

impl Withheld {
    /// The reason as programs read it.
    pub fn code(&self) -> &'static str {
        match self {
            Withheld::TooFewGames { n: 0, .. } => "no_games",
            Withheld::TooFewGames { .. } => "too_few_games",
            Withheld::Thin { .. } => "thin",
            Withheld::NeedsAnother { .. } => "needs_another",
            Withheld::NoBait => "no_bait",
            Withheld::TooLong { .. } => "too_long",
            Withheld::NotCounted(_) => "not_counted",
        }
    }

    /// Games of different players that it needs; none where no number of games would do.
    pub fn games_needed(&self) -> Option<u64> {
        match self {
            Withheld::TooFewGames { needed, .. } | Withheld::Thin { needed, .. } => Some(*needed),
            Withheld::NeedsAnother { why, .. } => why.games_needed(),
            Withheld::NoBait | Withheld::TooLong { .. } | Withheld::NotCounted(_) => None,
        }
    }

    /// Whether there are enough games, but of too few players.
    pub fn for_few_players(&self) -> bool {
        match self {
            Withheld::TooFewGames { n, needed, .. } | Withheld::Thin { n, needed, .. } => {
                n >= needed
            }
            Withheld::NeedsAnother { why, .. } => why.for_few_players(),
            Withheld::NoBait | Withheld::TooLong { .. } | Withheld::NotCounted(_) => false,
        }
    }

    /// How far behind the counted half-moves its position lies.
    pub fn beyond(&self) -> Option<Beyond> {
        match self {
            Withheld::NotCounted(beyond) => Some(*beyond),
            _ => None,
        }
    }

    /// Which of the figures that it is made of lacks games, by its name in JSON.
    pub fn lacks(&self) -> Option<&'static str> {
        match self {
            Withheld::NeedsAnother { figure, .. } => Some(figure),
            _ => None,
        }
    }

    /// The reason why what is made of `figure`, which is withheld for this one, is
    /// withheld as well.
    fn of_piece(&self, figure: &'static str) -> Withheld {
        match self {
            Withheld::TooFewGames { .. } | Withheld::Thin { .. } => {
                Withheld::NeedsAnother { figure, why: Box::new(self.clone()) }
            }
            // A reason that lies in the line, or that already names its figure, says it all.
            _ => self.clone(),
        }
    }
}

impl Serialize for Withheld {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_str(self.code())
    }
}

/// A figure that another one is made of, by its name in JSON.
pub(super) type Piece<'a> = (&'static str, &'a Figure);

impl Figure {
    /// Whether its margin holds zero, so that it may be nothing.
    pub fn may_be_zero(&self) -> bool {
        self.low.zip(self.high).is_some_and(|(low, high)| low <= 0.0 && high >= 0.0)
    }

    pub(super) fn known(value: f64, interval: Interval, n: u64) -> Figure {
        let (low, high) = (Some(interval.low), Some(interval.high));
        Figure { value: Some(value), low, high, k: None, n, n_eff: n as f64, withheld: None }
    }

    pub(super) fn withheld(n: u64, why: Withheld) -> Figure {
        let n_eff = n as f64;
        Figure { value: None, low: None, high: None, k: None, n, n_eff, withheld: Some(why) }
    }

    /// The same of games of which so many are worth one game of a player of their own.
    pub(super) fn with_effect(self, design_effect: f64) -> Figure {
        Figure { n_eff: self.n as f64 / design_effect, ..self }
    }

    /// The same as a share: `k` of its games.
    pub(super) fn with_k(self, k: u64) -> Figure {
        Figure { k: Some(k), ..self }
    }

    /// A figure made of others: `of` takes their values and intervals and gives its own. Withheld
    /// if one of them is, with the reason of the thinnest of those, or one that no games would
    /// mend; it rests on the games of the thinnest.
    pub(super) fn derived<const N: usize>(
        pieces: [Piece<'_>; N],
        of: impl FnOnce([(f64, Interval); N]) -> (f64, Interval),
    ) -> Figure {
        let thinnest =
            pieces.iter().map(|(_, piece)| *piece).min_by(|a, b| a.n_eff.total_cmp(&b.n_eff));
        let (n, n_eff) = thinnest.map_or((0, 0.0), |piece| (piece.n, piece.n_eff));
        let known = pieces.map(|(_, piece)| piece.estimate());
        let lacking = pieces.iter().zip(&known).filter(|(_, known)| known.is_none());
        let mendable =
            |piece: &Figure| piece.withheld.as_ref().is_none_or(|why| why.games_needed().is_some());
        let rarest = lacking.map(|(piece, _)| piece).min_by(|(_, a), (_, b)| {
            mendable(a).cmp(&mendable(b)).then(a.n_eff.total_cmp(&b.n_eff))
        });
        if let Some((name, piece)) = rarest {
            let few = Withheld::TooFewGames { n: piece.n, n_eff: piece.n, needed: piece.n + 1 };
            let why = piece.withheld.as_ref().unwrap_or(&few).of_piece(name);
            return Figure { n_eff, ..Figure::withheld(n, why) };
        }
        let (value, interval) = of(known.map(|known| known.expect("none is lacking")));
        Figure { n_eff, ..Figure::known(value, interval, n) }
    }

    /// A smooth function of independent figures: `of` takes their values and gives its own and its
    /// partial derivatives there; the interval squares and adds ([`combine`]).
    pub(super) fn combined<const N: usize>(
        pieces: [Piece<'_>; N],
        of: impl FnOnce([f64; N]) -> (f64, [f64; N]),
    ) -> Figure {
        Figure::derived(pieces, |known| {
            let (value, derivatives) = of(known.map(|(value, _)| value));
            let parts = derivatives.iter().zip(known);
            let parts: Vec<Part> =
                parts.map(|(by, (value, interval))| Part::new(*by, value, interval)).collect();
            (value, combine(value, &parts))
        })
    }

    /// A known figure moved by a constant in value and interval.
    pub(super) fn shifted(self, by: f64) -> Figure {
        let moved = |end: Option<f64>| end.map(|end| end + by);
        Figure { value: moved(self.value), low: moved(self.low), high: moved(self.high), ..self }
    }

    /// Value and interval, if both are known.
    pub(super) fn estimate(&self) -> Option<(f64, Interval)> {
        Some((self.value?, Interval::new(self.low?, self.high?)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_figure_made_of_a_withheld_one_names_it_once() {
        let why = Withheld::TooFewGames { n: 3, n_eff: 3, needed: 50 };
        let thin = Figure::withheld(3, why.clone());
        let whole = Figure::known(0.5, Interval::new(0.4, 0.6), 80);
        let product = |[a, b]: [f64; 2]| (a * b, [b, a]);
        let worth = Figure::combined([("steered", &whole), ("edge_refuted", &thin)], product);
        let want = Withheld::NeedsAnother { figure: "edge_refuted", why: Box::new(why) };
        assert_eq!((worth.n, worth.withheld.as_ref()), (3, Some(&want)));
        let again = Figure::combined([("worth", &worth), ("steered", &whole)], product);
        assert_eq!(again.withheld, Some(want));
        let json = serde_json::to_value(again).expect("plain data");
        let want = serde_json::json!({"value": null, "low": null, "high": null, "n": 3, "n_eff": 3.0,
            "withheld": "needs_another"});
        assert_eq!(json, want);
    }

    #[test]
    fn what_lacks_several_figures_names_the_rarest() {
        let few = |n| Figure::withheld(n, Withheld::TooFewGames { n, n_eff: n, needed: 50 });
        let named = |pieces: [Piece<'_>; 2]| {
            let figure = Figure::combined(pieces, |[a, b]| (a - b, [1.0, -1.0]));
            (figure.n, figure.withheld.and_then(|why| why.lacks()))
        };
        let (many, rare, none) = (few(16), few(3), few(0));
        assert_eq!(named([("usual", &many), ("edge_no_slip", &rare)]), (3, Some("edge_no_slip")));
        assert_eq!(named([("usual", &none), ("edge_no_slip", &rare)]), (0, Some("usual")));
        assert_eq!(named([("usual", &rare), ("edge_no_slip", &rare)]), (3, Some("usual")));
        // What no games would mend goes before.
        let never = Figure::withheld(60, Withheld::NoBait);
        assert_eq!(named([("edge_no_slip", &rare), ("usual", &never)]), (3, None));
    }

    #[test]
    fn a_combined_figure_squares_and_adds() {
        let a = Figure::known(10.0, Interval::new(7.0, 16.0), 5);
        let b = Figure::known(5.0, Interval::new(1.0, 7.0), 8);
        let got = Figure::combined([("a", &a), ("b", &b)], |[a, b]| (a - 2.0 * b, [1.0, -2.0]));
        assert_eq!(got, Figure::known(0.0, Interval::new(-5.0, 10.0), 5));
    }
}
