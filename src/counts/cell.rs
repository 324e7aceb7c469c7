//! The smallest count: one move of one position in one band and pace.

use super::{Band, Pace};

/// How a game ended, seen from a named side.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// The side won.
    Win,
    /// Drawn.
    Draw,
    /// The side lost.
    Loss,
}

impl Outcome {
    /// The same result from the other side's view.
    pub fn reversed(self) -> Outcome {
        match self {
            Outcome::Win => Outcome::Loss,
            Outcome::Draw => Outcome::Draw,
            Outcome::Loss => Outcome::Win,
        }
    }
}

/// Band and pace of a cell in one byte: band index x 6 + pace index, so cells sort by band, then pace.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct CellId(u8);

impl CellId {
    /// How many there are.
    pub const COUNT: usize = Band::COUNT * Pace::ALL.len();

    /// The id of a band and pace.
    pub fn new(band: Band, pace: Pace) -> CellId {
        CellId((band.index() * Pace::ALL.len() + pace.index()) as u8)
    }

    /// The byte as stored.
    pub fn bits(self) -> u8 {
        self.0
    }

    /// From its stored form, `None` if there is no such band.
    pub fn from_bits(bits: u8) -> Option<CellId> {
        (usize::from(bits) < Self::COUNT).then_some(CellId(bits))
    }

    /// The mover's band.
    pub fn band(self) -> Band {
        Band::from_index(usize::from(self.0) / Pace::ALL.len())
            .expect("a checked byte holds a band")
    }

    /// The pace.
    pub fn pace(self) -> Pace {
        Pace::ALL[usize::from(self.0) % Pace::ALL.len()]
    }

    /// Place among all ids.
    pub fn index(self) -> usize {
        usize::from(self.0)
    }
}

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
    /// Games that tell the time spent on the move.
    pub clock_games: u64,
    /// Sum of the times spent, in tenths of a second.
    pub clock_tenths: u64,
    /// Sum of the squares of the times spent, in tenths of a second squared; a sum past `u64`, which
    /// takes clocks that tell years, stays at its largest value.
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
