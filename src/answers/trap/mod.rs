//! The report on a trap: does it come up, do they fall for it, does it pay, what does it cost.
//!
//! In: a [`Trap`](crate::lines::Trap) and counts. The positions of the line are looked up once
//! (`evidence`), then asked under the whole filter and under each of its bands: how far a line
//! reaches (`reach`), what it pays (`worth`), what that says (`verdict`) and what to do with
//! it (`advise`).
//!
//! Positions are looked up once: `cells` adds the moves of each up by band and pace, so that every
//! figure under every filter sums a few dozen values, and `cache` keeps positions that several
//! traps share.
//!
//! One position is one trap. The trap position is one node with all marked moves as its needed
//! moves; the positions after the slips are several nodes but one sample, with one design effect.
//! The edge with the refutations is a mean over the slips, weighted by how often each is played,
//! since a student who knows all refutations meets the slips as often as they come. Slips with
//! fewer than 50 refuted games are pooled by games.
//!
//! A score depends on the habits of those who answer as well: each of the setters finds the
//! refutation again and again or never. So the positions behind the moves of the line are
//! looked up (`behind`), and of all other moves together the one that most of them are, if
//! there is one (`scores`).
//!
//! An engine's word comes late, so a report keeps what wider filters say (`AdviceGrounds`), and the
//! advice is worked out again.
#![doc = include_str!("../../pages/help/figures.md")]

mod advice;
mod advise;
mod any_order;
mod asked;
mod behind;
mod cache;
mod cells;
mod curve;
mod cutoffs;
mod earlier;
mod effects;
mod evidence;
mod explain;
mod explanation;
mod judge;
mod opinion;
mod others;
mod reach;
mod report;
mod scores;
mod soundness;
mod verdict;
mod victim;
mod worth;

#[cfg(test)]
mod advice_tests;
#[cfg(test)]
mod further_tests;
#[cfg(test)]
mod kit;
#[cfg(test)]
mod plain_tests;
#[cfg(test)]
mod same_margin_tests;
#[cfg(test)]
mod several_tests;
#[cfg(test)]
mod tests;

pub use advice::{Advice, AdviceCode, AdviceGrounds, Reason, ReasonCode};
pub use advise::order;
pub(super) use cache::Cache;
pub use cutoffs::SoundnessCutoffs;
pub(super) use cutoffs::{left_worse, mean_cp};
pub use explanation::{
    BandProduct, CellSum, Clock, Explanation, Followed, Order, Place, PositionEffect, RefutedShare,
    UsedShare, VictimExplanation,
};
pub(super) use judge::{Overrides, figures_with, judge_cached};
pub use judge::{in_teaching_order, judge, judge_all};
pub use opinion::{Evaluation, Evaluator, consult};
pub use report::{
    Ahead, Alternatives, BandRow, Choice, Code, Curve, EarlierChoice, Figures, NextSlips, PaceRow,
    Refutation, Slip, SlipBelow, Steered, Stretch, TimeTaken, TrapAnswer, TrapReport, Usual,
    Verdict,
};
pub use soundness::{
    EngineEvidence, EvalEvidence, Grounds, MateEvidence, Soundness, SoundnessCode, SoundnessSource,
    Witness,
};
pub use victim::{
    Earlier, VictimAdvice, VictimAnswer, VictimReport, judge_victim, victim_order, victim_report,
};
