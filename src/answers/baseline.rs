//! What is ordinary: the mean score that a colour, a band and a pace make of an expectation.
//!
//! Score less expectation alone would praise every move of White's, and every position of a server
//! on which stronger players are rated too low. So the same difference over all games of that
//! colour, band and pace, weighted by the position's own mix of cells, is taken off. Ratings are
//! taken as given, and the ordinary is made of the position's games too: the edge of a position to
//! which a large part of all games comes varies less than its margin says.

use shakmaty::Color;

use super::stats::{
    CalibrationSums, Level, SCORE_CORRELATION, Slope, design_effect_of_residuals, games_a_player,
};
use crate::counts::{Cell, GroupGames, Total, Totals};
use crate::terms::{CellId, Pace};

/// The calibrated expectation: a slope a pace and a level a colour, band and pace, learned from all
/// games of the counts.
///
/// ordinary score = level + slope x expected score, see [`Slope`] and [`Level::shrunk`].
#[derive(Clone, Debug)]
pub struct Baseline {
    /// In the order of [`Pace::ALL`].
    slopes: [Slope; Pace::ALL.len()],
    /// White's, then Black's, by id.
    levels: Vec<f64>,
}

impl Baseline {
    /// Of all games.
    pub fn of(totals: &Totals) -> Baseline {
        let mut all = [[Level::default(); Pace::ALL.len()]; 2];
        let mut sums = <[(CalibrationSums, GroupGames); Pace::ALL.len()]>::default();
        let place = |colour: Color, id: CellId| (usize::from(colour.is_black()), id.pace().index());
        for (colour, id, total) in totals.totals() {
            let (side, pace) = place(colour, id);
            let sum = &mut all[side][pace];
            let one = level(&total.cell);
            sum.games += one.games;
            sum.score += one.score;
            sum.expected += one.expected;
            // Black's games are the same ones.
            if colour.is_white() {
                calibrate(&mut sums[pace].0, total);
                sums[pace].1.merge(&total.groups);
            }
        }
        let slopes = sums.map(|(sums, groups)| slope(&sums, &groups));
        let ids =
            (0..CellId::COUNT).filter_map(|index| CellId::from_bits(u8::try_from(index).ok()?));
        let of = |colour: Color, id: CellId| {
            let (side, pace) = place(colour, id);
            level(totals.cell(colour, id)).shrunk(all[side][pace], slopes[pace].value)
        };
        let levels =
            Color::ALL.into_iter().flat_map(|colour| ids.clone().map(move |id| (colour, id)));
        let levels = levels.map(|(colour, id)| of(colour, id)).collect();
        Baseline { slopes, levels }
    }

    /// How fast the mean score of a pace rises with the expected one.
    pub fn slope(&self, pace: Pace) -> &Slope {
        &self.slopes[pace.index()]
    }

    /// What `mover` ordinarily scores in the games of a cell beyond what the ratings
    /// predict, in points.
    pub(super) fn above(&self, mover: Color, id: CellId, cell: &Cell) -> f64 {
        let level = self.levels[usize::from(mover.is_black()) * CellId::COUNT + id.index()];
        let expected = cell.expected_milli as f64 / 1000.0;
        level * cell.games as f64 + (self.slope(id.pace()).value - 1.0) * expected
    }
}

fn level(cell: &Cell) -> Level {
    Level {
        games: cell.games,
        score: cell.wins as f64 + cell.draws as f64 / 2.0,
        expected: cell.expected_milli as f64 / 1000.0,
    }
}

/// Adds games from White's view.
fn calibrate(sums: &mut CalibrationSums, Total { cell, expected_sq, expected_result, .. }: &Total) {
    sums.games += cell.games;
    sums.wins += cell.wins;
    sums.draws += cell.draws;
    sums.expected += cell.expected_milli as f64 / 1e3;
    sums.expected_sq += *expected_sq as f64 / 1e6;
    sums.expected_result += *expected_result as f64 / 1e6;
}

fn slope(sums: &CalibrationSums, groups: &GroupGames) -> Slope {
    let repeats = games_a_player(groups.as_array());
    Slope::of(sums, design_effect_of_residuals(repeats, SCORE_CORRELATION))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::terms::{Band, Group, Outcome};

    fn id(band: usize) -> CellId {
        CellId::new(Band::from_index(band).expect("a band"), Pace::Blitz)
    }

    /// A white side that always scores 0.3 + 0.7 x expected, drawn out as wins and losses of
    /// equal games.
    #[test]
    fn the_slope_is_that_of_the_games_and_the_ordinary_follows_it() {
        let mut totals = Totals::default();
        for (expected_milli, wins) in [(300u16, 51), (500, 65), (700, 79)] {
            for game in 0..60_000usize {
                let group = Group::from_index(game % Group::COUNT).expect("a remainder");
                let outcome = if game % 100 < wins { Outcome::Win } else { Outcome::Loss };
                totals.add_game(Color::White, id(15), group, outcome, expected_milli);
            }
        }
        let baseline = Baseline::of(&totals);
        let slope = baseline.slope(Pace::Blitz);
        assert!((slope.value - 0.7).abs() < 0.03, "{slope:?}");
        let mut cell = Cell::default();
        (0..100).for_each(|game| {
            let outcome = if game < 51 { Outcome::Win } else { Outcome::Loss };
            cell.add_game(outcome, 300);
        });
        // 51 points where the formula says 30: 21 above it are ordinary.
        let above = baseline.above(Color::White, id(15), &cell);
        assert!((above - 21.0).abs() < 1.0, "{above}");
    }
}
