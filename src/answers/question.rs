//! What is asked of the counts.

use serde::Serialize;

use super::Sampling;
use crate::terms::MoverFilter;

/// The settings of an answer.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Question {
    /// Whose choices are looked at; it holds for the mover of each position.
    pub filter: MoverFilter,
    /// A figure that rests on fewer games of different players than this is thin or withheld. 0
    /// means the same as 1.
    pub min_sample: u64,
    /// Where a trap starts to be occasional and common.
    pub cutoffs: Cutoffs,
    /// How many games the student looks ahead.
    pub ahead: u64,
    /// A slip rate, 0..=1, for which to look for the rating from which fewer slip.
    pub slip_below: Option<f64>,
    /// Whether to answer for each pace besides.
    pub by_pace: bool,
    /// Whether to show the counts behind each figure.
    pub explain: bool,
}

impl Question {
    /// The minimum sample, for games of different players.
    pub fn sampling(&self) -> Sampling {
        Sampling::from(self.min_sample)
    }

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
            slip_below: None,
            by_pace: false,
            explain: false,
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
