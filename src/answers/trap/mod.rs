//! The report on a trap: does it come up, do they fall for it, does it pay, what does it cost.
//!
//! In: a [`TrapLine`] and counts. The positions of the line are looked up once (`evidence`), then
//! asked under the whole filter and under each of its bands: how far a line reaches (`reach`), what
//! it pays (`worth`) and what that says (`verdict`).

mod evidence;
mod judge;
mod reach;
mod report;
mod soundness;
mod verdict;
mod worth;

#[cfg(test)]
mod plain_tests;
#[cfg(test)]
mod tests;

pub(super) use judge::{Given, judge_given};
pub use judge::{judge, judge_all};
pub use report::{
    Ahead, BandRow, Choice, Code, Figures, Steered, TrapAnswer, TrapLine, TrapReport, Usual,
    Verdict,
};
pub use soundness::{
    EngineEvidence, EvalEvidence, MateEvidence, Soundness, SoundnessCode, SoundnessCutoffs,
    SoundnessSource,
};
