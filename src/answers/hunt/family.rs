//! Which pairs of position and move are tested: decided by counts, never by results.

use shakmaty::{Chess, Position};

use super::Hunt;
use super::report::Evaluations;
use super::walk::NodeId;
use crate::answers::{Question, Sample};
use crate::counts::{Cell, MoveCode, MoveCounts, PositionCounts, Totals};

/// A pair of position and move, with the victims' results, from the victim's view.
#[derive(Clone, Debug)]
pub(super) struct Slip {
    pub at: NodeId,
    pub code: MoveCode,
    /// Games with the move.
    pub sample: Sample,
    /// Games with all other moves of the position.
    pub others: Sample,
    pub evaluations: Evaluations,
    /// The other moves one by one, for leaving out those that are slips too.
    pub rivals: Vec<(MoveCode, Sample)>,
    pub p: f64,
    pub q: f64,
}

impl Slip {
    /// Points a game that the move costs: edge of the others minus its own.
    pub fn drop(&self) -> f64 {
        edge(&self.others) - edge(&self.sample)
    }

    /// Games in the position.
    pub fn games(&self) -> u64 {
        self.sample.games() + self.others.games()
    }
}

/// Score minus expected minus the ordinary, points a game.
pub(super) fn edge(sample: &Sample) -> f64 {
    let points = sample.wins as f64 + sample.draws as f64 / 2.0;
    let usual = sample.expected_milli as f64 / 1000.0 + sample.ordinary;
    (points - usual) / sample.games() as f64
}

/// Collects the family while the walk goes on.
pub(super) struct Family<'a> {
    totals: &'a Totals,
    hunt: &'a Hunt,
    question: &'a Question,
    pub slips: Vec<Slip>,
}

impl<'a> Family<'a> {
    pub fn new(totals: &'a Totals, hunt: &'a Hunt, question: &'a Question) -> Family<'a> {
        Family { totals, hunt, question, slips: Vec::new() }
    }

    /// Adds the moves of a position that pass the rules of counts.
    pub fn see(&mut self, at: NodeId, position: &Chess, found: &PositionCounts) {
        let victim = self.hunt.victim();
        let filter = self.question.filter;
        if position.turn() != victim {
            return;
        }
        let sums: Vec<Cell> = found.moves.iter().map(|mv| mv.sum(filter)).collect();
        let all: u64 = sums.iter().map(|cell| cell.games).sum();
        if all < self.hunt.reached.max(1) {
            return;
        }
        let least = self.question.min_sample.max(1);
        let picked = |cell: &Cell| {
            cell.games >= least
                && cell.games as f64 >= self.hunt.min_share * all as f64
                && all - cell.games >= least
        };
        if !sums.iter().any(picked) {
            return;
        }
        let sample = |mv: &MoveCounts| {
            let cells = mv.cells.iter().filter(|(id, _)| filter.admits(*id));
            Sample::of(cells.map(|(id, cell)| (*id, cell)), victim, self.totals)
        };
        let each: Vec<(MoveCode, Sample, Cell)> = found
            .moves
            .iter()
            .zip(sums)
            .filter(|(_, cell)| cell.games > 0)
            .map(|(mv, cell)| (mv.code, sample(mv), cell))
            .collect();
        for (code, sample, cell) in each.iter().filter(|(_, _, cell)| picked(cell)) {
            let rest = || each.iter().filter(|(other, _, _)| other != code);
            let others = rest().fold(Sample::default(), |sum, (_, sample, _)| sum.plus(*sample));
            let other_cells: Cell = rest().map(|(_, _, cell)| cell).sum();
            self.slips.push(Slip {
                at,
                code: *code,
                sample: *sample,
                others,
                evaluations: Evaluations::of(cell, &other_cells),
                rivals: rest().map(|(code, sample, _)| (*code, *sample)).collect(),
                p: 1.0,
                q: 1.0,
            });
        }
    }
}
