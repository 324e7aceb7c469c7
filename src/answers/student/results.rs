//! Results of a student's games.

use std::ops::Add;

use serde::Serialize;

use crate::terms::Outcome;

/// Games by how they ended for the student.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Results {
    /// Won games.
    pub wins: u64,
    /// Drawn games.
    pub draws: u64,
    /// Lost games.
    pub losses: u64,
}

impl Results {
    /// Points of the student.
    pub fn points(self) -> f64 {
        self.wins as f64 + 0.5 * self.draws as f64
    }

    /// Games.
    pub fn games(self) -> u64 {
        self.wins + self.draws + self.losses
    }
}

impl Add for Results {
    type Output = Results;

    fn add(self, other: Results) -> Results {
        Results {
            wins: self.wins + other.wins,
            draws: self.draws + other.draws,
            losses: self.losses + other.losses,
        }
    }
}

impl FromIterator<Outcome> for Results {
    fn from_iter<I: IntoIterator<Item = Outcome>>(outcomes: I) -> Results {
        outcomes.into_iter().fold(Results::default(), |mut results, outcome| {
            match outcome {
                Outcome::Win => results.wins += 1,
                Outcome::Draw => results.draws += 1,
                Outcome::Loss => results.losses += 1,
            }
            results
        })
    }
}
