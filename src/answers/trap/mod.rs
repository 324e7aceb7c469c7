//! The report on a trap: does it come up, do they fall for it, does it pay, what does it cost.
//!
//! In: a [`TrapLine`] and counts. The positions of the line are looked up once (`evidence`), then
//! asked under the whole filter and under each of its bands: how far a line reaches (`reach`), what
//! it pays (`worth`) and what that says (`verdict`).

mod any_order;
mod cache;
mod cells;
mod curve;
mod evidence;
mod explain;
mod judge;
mod others;
mod reach;
mod report;
mod soundness;
mod verdict;
mod victim;
mod worth;

#[cfg(test)]
mod further_tests;
#[cfg(test)]
mod plain_tests;
#[cfg(test)]
mod tests;

pub use explain::{CellSum, Explanation, Step};
pub(super) use judge::{Given, figures_given, judge_given};
pub use judge::{judge, judge_all};
pub use report::{
    Ahead, Alternatives, BandRow, Choice, Code, Curve, Figures, Other, PaceRow, SlipBelow, Steered,
    Stretch, TimeTaken, TrapAnswer, TrapLine, TrapReport, Usual, Verdict,
};
pub use soundness::{
    EngineEvidence, EvalEvidence, MateEvidence, Soundness, SoundnessCode, SoundnessCutoffs,
    SoundnessSource,
};
pub use victim::{Earlier, VictimAnswer, VictimReport, judge_victim};
