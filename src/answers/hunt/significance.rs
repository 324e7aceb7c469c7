//! Does a move lose more than the null drop?

use super::Hunt;
use crate::answers::Sample;
use crate::answers::stats::{Results, exceeds_by, upper_tail};

/// p value of the null hypothesis that the edge of `others` exceeds that of `slip` by `null_drop` at the most.
///
/// Expected scores and the ordinary are taken as given, so a difference of edges is one of scores, shifted.
pub(super) fn p_value(others: &Sample, slip: &Sample, null_drop: f64) -> f64 {
    let shift = usual(others) - usual(slip);
    exceeds_by(results(others), results(slip), null_drop + shift)
}

/// The same for a part of the slip's games, given as results and the points to be expected of them.
pub(super) fn p_value_of_part(others: &Sample, part: Results, usual_points: f64, null: f64) -> f64 {
    let shift = usual(others) - usual_points / part.games();
    exceeds_by(results(others), part, null + shift)
}

pub(super) fn results(sample: &Sample) -> Results {
    Results { wins: sample.wins as f64, draws: sample.draws as f64, losses: sample.losses as f64 }
}

/// Points that the ratings and the ordinary predict, in all.
pub(super) fn usual_points(sample: &Sample) -> f64 {
    sample.expected_milli as f64 / 1000.0 + sample.ordinary
}

fn usual(sample: &Sample) -> f64 {
    usual_points(sample) / sample.games() as f64
}

/// The smallest true drop that some test of the family would have shown with even odds, were it the only one: the null drop
/// and as many standard errors as the first step of Benjamini-Hochberg asks. Of each test it takes the
/// games with the move and those with the others; none without a test.
pub(super) fn smallest_detectable(
    tests: impl ExactSizeIterator<Item = [u64; 2]>,
    hunt: &Hunt,
) -> Option<f64> {
    let level = hunt.fdr / tests.len() as f64;
    let errors = tests.map(|games| {
        let [a, b] = games.map(|games| games as f64);
        // At most half a point: without draws, between equals.
        0.5 * (1.0 / a + 1.0 / b).sqrt()
    });
    let smallest = errors.min_by(f64::total_cmp)?;
    Some(hunt.null_drop + quantile_above(level) * smallest)
}

/// The z that a standard normal variable exceeds with this chance.
fn quantile_above(level: f64) -> f64 {
    let (mut low, mut high) = (0.0, 40.0);
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if upper_tail(middle) > level { low = middle } else { high = middle }
    }
    low
}
