//! The smallest count: one move of one position in one band and pace.

use crate::terms::Outcome;

/// Integer sums over games, from the mover's view.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Cell {
    /// Games.
    pub games: u64,
    /// Games the mover won.
    pub wins: u64,
    /// Drawn games.
    pub draws: u64,
    /// Sum of the mover's expected scores, in thousandths of a point.
    pub expected_milli: u64,
    /// Games that give the time spent on the move.
    pub clock_games: u64,
    /// Sum of the times spent, in tenths of a second.
    pub clock_tenths: u64,
    /// Sum of the squares of the times spent, in tenths of a second squared; a sum past `u64`,
    /// which takes clocks that run for years, stays at its largest value.
    pub clock_tenths_sq: u64,
    /// Games with an evaluation after the move.
    pub eval_games: u64,
    /// Sum of the evaluations, in centipawns from the mover's view, each clamped to +-1000.
    pub eval_cp: i64,
}

impl Cell {
    /// Games the mover lost.
    pub fn losses(&self) -> u64 {
        self.games - self.wins - self.draws
    }

    /// Adds another cell. Commutative and associative; [`Cell::default`] is the identity.
    pub fn merge(&mut self, other: &Cell) {
        self.games += other.games;
        self.wins += other.wins;
        self.draws += other.draws;
        self.expected_milli += other.expected_milli;
        self.clock_games += other.clock_games;
        self.clock_tenths += other.clock_tenths;
        self.clock_tenths_sq = self.clock_tenths_sq.saturating_add(other.clock_tenths_sq);
        self.eval_games += other.eval_games;
        self.eval_cp += other.eval_cp;
    }

    /// Adds one game without clock and evaluation.
    pub fn add_game(&mut self, outcome: Outcome, expected_milli: u16) {
        self.games += 1;
        self.wins += u64::from(outcome == Outcome::Win);
        self.draws += u64::from(outcome == Outcome::Draw);
        self.expected_milli += u64::from(expected_milli);
    }

    /// Adds the time spent on one move, in tenths of a second.
    pub fn add_clock(&mut self, tenths: u32) {
        let tenths = u64::from(tenths);
        self.clock_games += 1;
        self.clock_tenths += tenths;
        self.clock_tenths_sq = self.clock_tenths_sq.saturating_add(tenths * tenths);
    }

    /// Adds the evaluation after one move, in centipawns from the mover's view.
    pub fn add_eval(&mut self, centipawns: i16) {
        self.eval_games += 1;
        self.eval_cp += i64::from(centipawns);
    }
}

impl<'a> std::iter::Sum<&'a Cell> for Cell {
    fn sum<I: Iterator<Item = &'a Cell>>(cells: I) -> Cell {
        cells.fold(Cell::default(), |mut sum, cell| {
            sum.merge(cell);
            sum
        })
    }
}
