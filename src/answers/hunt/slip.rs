//! A move that is tested: the victims' results with it and without.

use super::walk::PositionId;
use crate::answers::Sample;
use crate::answers::stats::DesignEffect;
use crate::terms::MoveCode;

/// A pair of position and move, with the victims' results, from the victim's view.
#[derive(Clone, Debug)]
pub(super) struct Slip {
    pub at: PositionId,
    pub code: MoveCode,
    /// Games with the move.
    pub sample: Sample,
    /// Games with all other moves of the position.
    pub others: Sample,
    /// How much the games of the position are worth.
    pub effect: DesignEffect,
    /// D of the scores with the move and with the others, as tests take it and what is told of
    /// the moves that pass; without the habits of those who answer as long as nobody has looked
    /// behind the move.
    pub of_scores: [f64; 2],
    /// The other moves one by one, for leaving out those that are slips too.
    pub rivals: Vec<(MoveCode, Sample)>,
    pub p: f64,
    pub q: f64,
}

impl Slip {
    /// Points a game that the move costs: edge of the others minus its own.
    pub fn loss(&self) -> f64 {
        edge(&self.others) - edge(&self.sample)
    }

    /// Games with the move, and with the others: games of different players that tell as much
    /// about scores.
    pub fn effective(&self) -> [f64; 2] {
        let [lost, held] = self.of_scores;
        [self.sample.games() as f64 / lost, self.others.games() as f64 / held]
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
