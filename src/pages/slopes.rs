//! The slopes of the calibrated expectation, as `about` tells them.

#![expect(missing_docs, reason = "`help formats` explains the fields of answers")]

use std::io::{self, Write};

use serde::Serialize;
use serde_json::json;

use super::layout::{Side, TextTable, paragraph};
use super::numbers::{as_good, count, fixed};
use super::output::table;
use crate::answers::Baseline;
use crate::counts::Totals;
use crate::terms::Pace;

/// How fast the mean score of a pace rises with what the ratings predict: by `value` points
/// for each point.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct PaceSlope {
    pub pace: Pace,
    pub value: f64,
    pub low: f64,
    pub high: f64,
    pub n: u64,
    pub n_eff: f64,
}

impl PaceSlope {
    /// The slopes of the paces with games.
    pub fn all(totals: &Totals) -> Vec<PaceSlope> {
        let baseline = Baseline::of(totals);
        let of = |pace: Pace| {
            let slope = baseline.slope(pace);
            PaceSlope {
                pace,
                value: slope.value,
                low: slope.interval.low,
                high: slope.interval.high,
                n: slope.games,
                n_eff: slope.effective_games,
            }
        };
        Pace::ALL.into_iter().map(of).filter(|slope| slope.n > 0).collect()
    }
}

/// The slopes alone.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Slopes {
    pub slopes: Vec<PaceSlope>,
}

impl Slopes {
    /// For people.
    pub fn text(&self) -> String {
        section(&self.slopes)
    }

    /// One row a pace.
    pub fn csv<W: Write>(&self, out: W) -> io::Result<()> {
        let head = ["pace", "slope", "slope_low", "slope_high", "slope_n", "slope_n_eff"];
        let row = |of: &PaceSlope| {
            json!({
                "pace": of.pace, "slope": of.value, "slope_low": of.low, "slope_high": of.high,
                "slope_n": of.n, "slope_n_eff": of.n_eff,
            })
        };
        table(out, &head, self.slopes.iter().map(row))
    }
}

/// Their table and what they mean.
pub(super) fn section(slopes: &[PaceSlope]) -> String {
    let mut table =
        TextTable::new(&[("pace", Side::Left), ("slope", Side::Right), ("games", Side::Right)]);
    for PaceSlope { pace, value, low, high, n, n_eff } in slopes {
        let [value, low, high] = [value, low, high].map(|x| fixed(*x, 3));
        let games = match as_good(*n, *n_eff) {
            Some(good) => format!("{} ({good})", count(*n)),
            None => count(*n),
        };
        table.row(vec![pace.name().to_owned(), format!("{value} [{low}, {high}]"), games]);
    }
    let meaning = paragraph(
        "A slope of 0.84 means: a player who by the rating formula should score 10 points more in a hundred scores 8.4 more. \
         Edges are made with it. Few games leave it near 0.84, which is what open dumps show.",
        0,
    );
    format!("How fast scores rise with what the ratings predict\n\n{}{meaning}", table.render())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::terms::{Band, CellId, Group, Outcome};
    use shakmaty::Color;

    /// By hand: 3,000 games, a third each expected to score 0.3, 0.5 and 0.7, of which Whites win
    /// 0.3, 0.5 and 0.7: slope 1, squared deviations 3000 x 0.08/3 = 80, residual variance 3000
    /// (0.21 + 0.25 + 0.21)/3 / 2998 = 0.22348. All are of one player, m = 3000, so D = 1 + 0.02 x
    /// 2999 = 60.98 and the error is sqrt(60.98 x 0.22348 / 80) = 0.41274. Inverse variances 400
    /// and 5.8702 about 0.84 and 1.
    #[test]
    fn a_slope_says_how_many_games_it_rests_on() {
        let mut totals = Totals::default();
        let id = CellId::new(Band::from_index(12).expect("a band"), Pace::Rapid);
        for (expected, wins) in [(300, 300), (500, 500), (700, 700)] {
            for game in 0..1000 {
                let outcome = if game < wins { Outcome::Win } else { Outcome::Loss };
                totals.add_game(Color::White, id, Group::of_name(b"pilot"), outcome, expected);
            }
        }
        let [slope] = PaceSlope::all(&totals)[..] else { panic!("one pace has games") };
        assert_eq!((slope.pace, slope.n), (Pace::Rapid, 3000));
        assert!((slope.n_eff - 3000.0 / 60.98).abs() < 1e-9);
        let weight = 80.0 / (60.98 * 0.67 * 1000.0 / 2998.0);
        assert!(
            (slope.value - (0.84 * 400.0 + weight) / (400.0 + weight)).abs() < 1e-9,
            "{slope:?}"
        );
        let half = 1.959963984540054 / (400.0 + weight).sqrt();
        assert!((slope.high - slope.value - half).abs() < 1e-9);
        assert!((slope.value - slope.low - half).abs() < 1e-9);
    }
}
