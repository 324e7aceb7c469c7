//! Score, expectation and edge of a set of games, from a named side's view.

use shakmaty::Color;

use super::{Baseline, Figure, Sampling};
use crate::counts::{Cell, PositionCounts};
use crate::terms::{CellId, MoverFilter};

/// Sums over games from the view of one side.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Sample {
    /// Games the side won.
    pub wins: u64,
    /// Drawn games.
    pub draws: u64,
    /// Games the side lost.
    pub losses: u64,
    /// Sum of the side's expected scores, in thousandths of a point.
    pub expected_milli: u64,
    /// Sum over the games of what the side ordinarily scores above expectation, in points, by the
    /// [`Baseline`] of the mover's colour, band and pace.
    pub ordinary: f64,
}

impl Sample {
    /// The games of `cells`, whose mover plays `mover`, from the mover's view.
    pub fn of<'a>(
        cells: impl Iterator<Item = (CellId, &'a Cell)>,
        mover: Color,
        baseline: &Baseline,
    ) -> Sample {
        let mut sample = Sample::default();
        for (id, cell) in cells {
            sample.wins += cell.wins;
            sample.draws += cell.draws;
            sample.losses += cell.losses();
            sample.expected_milli += cell.expected_milli;
            sample.ordinary += baseline.above(mover, id, cell);
        }
        sample
    }

    /// The games of the moves of a position that `wanted` picks, by movers of the filter.
    pub fn of_moves(
        counts: Option<&PositionCounts>,
        wanted: impl Fn(crate::terms::MoveCode) -> bool,
        filter: MoverFilter,
        mover: Color,
        baseline: &Baseline,
    ) -> Sample {
        let cells = counts
            .into_iter()
            .flat_map(|counts| &counts.moves)
            .filter(|mv| wanted(mv.code))
            .flat_map(|mv| &mv.cells)
            .filter(|(id, _)| filter.admits(*id))
            .map(|(id, cell)| (*id, cell));
        Sample::of(cells, mover, baseline)
    }

    /// The same games from the other side's view.
    pub fn swapped(self) -> Sample {
        Sample {
            wins: self.losses,
            draws: self.draws,
            losses: self.wins,
            expected_milli: 1000 * self.games() - self.expected_milli,
            ordinary: -self.ordinary,
        }
    }

    /// These games and others of the same side together.
    pub fn plus(self, other: Sample) -> Sample {
        Sample {
            wins: self.wins + other.wins,
            draws: self.draws + other.draws,
            losses: self.losses + other.losses,
            expected_milli: self.expected_milli + other.expected_milli,
            ordinary: self.ordinary + other.ordinary,
        }
    }

    /// Games.
    pub fn games(&self) -> u64 {
        self.wins + self.draws + self.losses
    }

    /// Mean score, 0..=1.
    pub fn score(&self, sampling: impl Into<Sampling>) -> Figure {
        sampling.into().score(self.wins, self.draws, self.losses)
    }

    /// Mean expected score, 0..=1; none without games.
    pub fn expected(&self) -> Option<f64> {
        let games = self.games();
        (games > 0).then(|| self.expected_milli as f64 / (1000.0 * games as f64))
    }

    /// Score minus expected minus the ordinary, in points a game: the score's interval, shifted.
    /// The ratings are taken as given, which makes the interval a little too wide.
    pub fn edge(&self, sampling: impl Into<Sampling>) -> Figure {
        let ordinary = self.ordinary / self.games().max(1) as f64;
        self.score(sampling).shifted(-self.expected().unwrap_or(0.0) - ordinary)
    }
}

/// The rating difference whose expected score is `expected`, in rating points; none at 0 and 1.
pub(super) fn rating_difference(expected: f64) -> Option<f64> {
    let difference = -400.0 * (1.0 / expected - 1.0).log10();
    difference.is_finite().then_some(difference)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::counts::{Total, Totals};
    use crate::terms::{Band, Outcome, Pace};

    fn id(band: usize) -> CellId {
        CellId::new(Band::from_index(band).expect("a band"), Pace::Blitz)
    }

    fn cell(wins: u64, draws: u64, losses: u64, expected_milli: u16) -> Cell {
        let mut cell = Cell::default();
        for (outcome, games) in
            [(Outcome::Win, wins), (Outcome::Draw, draws), (Outcome::Loss, losses)]
        {
            (0..games).for_each(|_| cell.add_game(outcome, expected_milli));
        }
        cell
    }

    fn total(cell: Cell) -> Total {
        Total { cell, ..Total::default() }
    }

    /// The slope is the usual 0.84. All games: (11 - 0.84 x 11)/20 = 0.088. Band 10: (6 - 0.84 x
    /// 5)/10 = 0.18, shrunk (1.8 + 44)/510; band 11: (5 - 0.84 x 6)/10 = -0.004, shrunk (44 -
    /// 0.04)/510. Four games of the one with 2 points expected and two of the other with 1.2: 4 x
    /// 45.8/510 + 2 x 43.96/510 - 0.16 x 3.2 = 271.12/510 - 0.512 points are ordinary beyond the
    /// 3.2 expected, 3.5 were made.
    #[test]
    fn an_edge_is_taken_off_the_cells_own_mix_of_the_ordinary() {
        let mut totals = Totals::default();
        totals.add(Color::White, id(10), &total(cell(6, 0, 4, 500)));
        totals.add(Color::White, id(11), &total(cell(5, 0, 5, 600)));
        let (a, b) = (cell(3, 0, 1, 500), cell(0, 1, 1, 600));
        let cells = [(id(10), &a), (id(11), &b)];
        let sample = Sample::of(cells.into_iter(), Color::White, &Baseline::of(&totals));
        let edge = (3.5 - 3.2 - (271.12 / 510.0 - 0.512)) / 6.0;
        assert!((sample.edge(1).value.expect("games") - edge).abs() < 1e-12);
        assert!((sample.expected().expect("games") - 3.2 / 6.0).abs() < 1e-12);
    }

    #[test]
    fn the_other_sides_edge_is_the_negative() {
        let mut totals = Totals::default();
        totals.add(Color::Black, id(3), &total(cell(3, 3, 4, 450)));
        let cell = cell(2, 1, 1, 480);
        let sample = Sample::of([(id(3), &cell)].into_iter(), Color::Black, &Baseline::of(&totals));
        let (ours, theirs) = (sample.edge(1), sample.swapped().edge(1));
        let sum =
            |a: Option<f64>, b: Option<f64>| a.zip(b).map_or(f64::NAN, |(a, b)| (a + b).abs());
        assert!(sum(ours.value, theirs.value) < 1e-12);
        assert!(sum(ours.low, theirs.high) < 1e-9 && sum(ours.high, theirs.low) < 1e-9);
        assert_eq!(sample.swapped().swapped(), sample);
    }

    #[test]
    fn all_games_of_a_colour_have_no_edge() {
        let mut totals = Totals::default();
        let all = cell(7, 2, 4, 430);
        totals.add(Color::White, id(5), &total(all));
        let sample = Sample::of([(id(5), &all)].into_iter(), Color::White, &Baseline::of(&totals));
        assert!(sample.edge(1).value.expect("games").abs() < 1e-12);
    }

    /// 0.640065 is the formula at 100 points, see the published table in `terms::expected`.
    #[test]
    fn an_expected_score_is_worth_its_rating_difference() {
        assert!((rating_difference(0.640065).expect("finite") - 100.0).abs() < 0.001);
        assert_eq!((rating_difference(0.0), rating_difference(1.0)), (None, None));
    }
}
