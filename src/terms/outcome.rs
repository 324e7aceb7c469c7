//! How a game ended.

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
