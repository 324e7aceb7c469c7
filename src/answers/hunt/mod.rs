//! The hunt: slips that many victims play and that cost them points, found in the counts alone.
//!
//! In: any [`Counts`] and a [`Hunt`], what to look for. Out: [`HuntAnswer`], the findings best
//! first, with how many tests were made and what each rule hid. The stages, one file each:
//!
//! 1. `walk` plays the stored moves from the start, layer by layer, and meets every position once.
//! 2. `family` picks the pairs (position, move) to test, by **counts alone**: a rule that looked at
//!    results would choose what chance has made look good, and the promised share of false findings
//!    would not hold.
//! 3. `significance` asks of each whether the move loses more than the null drop, with as many
//!    games as those of different players that tell as much; Benjamini-Hochberg over all of them.
//! 4. `refutation` looks for the reply, chosen on other games than it is scored on.
//! 5. `flow` and `reach` say how often games come from one position to another, first visits only;
//!    `arrivals` how often those of a student with a repertoire do.
//! 6. `chains` reports every loss once: where it happens, not on the way to it and not behind it.
//! 7. `rank` has each finding judged as [`trap`](super::trap) judges any trap, and orders them. The
//!    drops shown get intervals that allow for their being selected; net, which orders, does not.
//!
//! Where nothing is found, `misses` says what came nearest, and what it lacks.
//!
//! Nothing here has threads or an order that depends on one: the same counts give the same answer.
//!
//! Tests hold the variance to the null: where few games lost nearly all, an unrestricted z has far
//! too many small p values (`stats::difference`). Sizes, counted through without draws and
//! simulated with draws, are 0.5 to 0.9 of the level, nowhere above it. The family goes by raw
//! games, so no option that hides figures changes a q. Intervals of shown drops have the level 1 -
//! R q / m (Y. Benjamini and D. Yekutieli 2005). The walk passes over a position to which no layer
//! brings a twentieth of `--reached` games: this bounds its memory by what is often played, not by
//! the size of the store.
#![doc = include_str!("../../pages/help/hunt.md")]

mod answered;
mod arrivals;
mod chains;
mod family;
mod flow;
mod misses;
mod path;
mod rank;
mod reach;
mod refutation;
mod report;
mod rules;
mod significance;
mod slip;
mod walk;

#[cfg(test)]
mod tests;

pub use report::{
    Branch, Covered, Evaluations, Found, HiddenBy, HuntAnswer, Lack, Miss, Reach, ReachKind,
    Verdict,
};
pub(super) use rules::TESTED_FROM;
pub use rules::{Hunt, Repertoire};
pub(super) use significance::{edge_difference, scores_more, shown_miss};
pub use walk::Progress;

use super::Question;
use super::stats::benjamini_hochberg;
use super::trap::Cache;
use crate::counts::Counts;
use answered::look_behind;
use family::Family;
use flow::Flow;
use misses::Seen;
use slip::Slip;
use walk::Walk;

/// Hunts; `watch` is told after every half-move.
pub fn hunt<C: Counts>(
    counts: &C,
    hunt: &Hunt,
    question: &Question,
    mut watch: impl FnMut(Progress),
) -> Result<HuntAnswer, C::Error> {
    let cache = Cache::new(counts);
    let family = Family { baseline: cache.baseline(), hunt, question };
    let mut slips: Vec<Slip> = Vec::new();
    let walk = Walk::of(
        counts,
        hunt,
        question.filter,
        &mut watch,
        |position, found, groups| family.slips(position, found, groups),
        |at, found| slips.extend(found.into_iter().map(|slip| Slip { at, ..slip })),
    )?;
    // Those who answer can only raise a p, and no q is below its p: what is above the rate already
    // passes neither way, and no q up to the rate depends on how far above it other p values are.
    let doubtful = slips.iter_mut().filter(|slip| slip.p <= hunt.fdr);
    look_behind(counts, (hunt, question), &walk, doubtful)?;
    adjust(&mut slips);
    let tests = slips.len();
    let passed: Vec<Slip> = slips.iter().filter(|slip| slip.q <= hunt.fdr).cloned().collect();
    let significant = passed.len();
    let flow = Flow::of(&walk, hunt);
    let mut hidden = HiddenBy::default();
    let falls = chains::falls(&cache, hunt, question, &walk, &flow, passed, &mut hidden)?;
    let ranked = rank::rank(&cache, (hunt, tests), question, &walk, &flow, falls, &mut hidden)?;
    if ranked.found.is_empty() {
        // The misses have a p and a q as well.
        look_behind(counts, (hunt, question), &walk, slips.iter_mut())?;
        adjust(&mut slips);
    }
    let seen = Seen { hunt, question, walk: &walk, flow: &flow, tested: &slips };
    let misses = if ranked.found.is_empty() { seen.misses(&cache)? } else { Vec::new() };
    let detectable = significance::smallest_detectable(slips.iter().map(Slip::effective), hunt);
    Ok(HuntAnswer {
        setter: hunt.setter,
        start: hunt.line.to_string(),
        filter: question.filter,
        reach: if hunt.repertoire.is_some() {
            ReachKind::Repertoire
        } else {
            ReachKind::Occurrence
        },
        tests,
        significant,
        hidden: hidden.total(),
        hidden_by: hidden,
        found: ranked.found,
        misses,
        covered: seen.covered(),
        interval_level: ranked.interval_level,
        settings: hunt.settings(question),
        positions: walk.positions.len(),
        detectable,
        games: counts.totals().sum(hunt.setter.other(), question.filter).games,
        limits: counts.limits().clone(),
    })
}

/// The q values of all tests together.
fn adjust(slips: &mut [Slip]) {
    let p: Vec<f64> = slips.iter().map(|slip| slip.p).collect();
    for (slip, q) in slips.iter_mut().zip(benjamini_hochberg(&p)) {
        slip.q = q;
    }
}
