//! What everybody says about a position, judged by the counts.

use serde::Serialize;

/// A claim and what the counts say to it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ClaimAnswer {
    /// The claim as it was put.
    pub claim: String,
    /// Whether it holds.
    pub answer: Answer,
    /// What it was judged by, in words, with counts and intervals.
    pub because: String,
}

/// Whether a claim holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Answer {
    /// The whole interval agrees.
    Holds,
    /// None of the interval agrees.
    Fails,
    /// The counts do not tell.
    Undecided,
}
