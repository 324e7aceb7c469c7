//! What is asked of the counts.

use serde::Serialize;

use crate::counts::MoverFilter;

/// The settings of an answer.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Question {
    /// Whose choices are looked at; it holds for the mover of each position.
    pub filter: MoverFilter,
    /// A figure that rests on fewer games than this is withheld. 0 means the same as 1.
    pub min_sample: u64,
    /// Where a trap starts to be occasional and common.
    pub cutoffs: Cutoffs,
    /// How many games the student looks ahead.
    pub ahead: u64,
}

impl Question {
    /// The same question about other movers.
    pub fn about(self, filter: MoverFilter) -> Question {
        Question { filter, ..self }
    }
}

impl Default for Question {
    fn default() -> Question {
        Question {
            filter: MoverFilter::ALL,
            min_sample: 50,
            cutoffs: Cutoffs::default(),
            ahead: 50,
        }
    }
}

/// Slips per 1000 steered games from which a trap counts as common and as occasional.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Cutoffs {
    /// This many and more: common.
    pub common: f64,
    /// This many up to `common`: occasional; fewer: rare.
    pub occasional: f64,
}

impl Default for Cutoffs {
    fn default() -> Cutoffs {
        Cutoffs { common: 5.0, occasional: 1.0 }
    }
}
