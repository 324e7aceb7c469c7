//! Does a move lose more than the null drop?

use super::Hunt;
use super::slip::Slip;
use crate::answers::stats::{Results, exceeds_by, selected_miss, upper_tail};
use crate::answers::{Figure, Sample, Sampling};

/// p value of the null hypothesis that a move loses at most `null_drop` against the others of
/// its position.
pub(super) fn p_value(slip: &Slip, null_drop: f64) -> f64 {
    let [lost, held] = slip.of_scores;
    scores_more((&slip.others, held), (&slip.sample, lost), null_drop)
}

/// p value of the null hypothesis that the edge of `first` exceeds that of `second` by `null`
/// points a game at the most.
///
/// Expected scores and the ordinary are taken as given, so a difference of edges is one of scores,
/// shifted. Each sample comes with its D: results are those of as many games of different players
/// as tell as much.
pub(in crate::answers) fn scores_more(
    first: (&Sample, f64),
    second: (&Sample, f64),
    null: f64,
) -> f64 {
    let shift = usual(first.0) - usual(second.0);
    let [first, second] = [first, second].map(|(part, effect)| results(part).effective(effect));
    exceeds_by(first, second, null + shift)
}

/// How often an interval of a shown difference may miss: see [`selected_miss`].
///
/// Selected are the parameters for which an interval is constructed: here those shown, behind all
/// rules that hide. So the fewer are shown, the wider their intervals. They are never narrower than
/// those of other figures.
pub(in crate::answers) fn shown_miss(fdr: f64, shown: usize, tests: usize) -> f64 {
    selected_miss(fdr, shown, tests).clamp(1e-12, 0.05)
}

/// The edge of `held` minus that of `lost`, each with its D and named so where one of them is
/// withheld; the interval misses with probability `miss`.
pub(in crate::answers) fn edge_difference(
    (held_name, held, held_effect): (&'static str, &Sample, f64),
    (lost_name, lost, lost_effect): (&'static str, &Sample, f64),
    sampling: Sampling,
    miss: f64,
) -> Figure {
    let held = held.edge(sampling.with_effect(held_effect).missing(miss));
    let lost = lost.edge(sampling.with_effect(lost_effect).missing(miss));
    let pieces = [(held_name, &held), (lost_name, &lost)];
    Figure::combined(pieces, |[held, lost]| (held - lost, [1.0, -1.0]))
}

/// [`p_value`] for a part of the move's games, given as results and the points to be
/// expected of them.
pub(super) fn p_value_of_part(slip: &Slip, part: Results, usual_points: f64, null: f64) -> f64 {
    let shift = usual(&slip.others) - usual_points / part.games();
    let [lost, held] = slip.of_scores;
    exceeds_by(results(&slip.others).effective(held), part.effective(lost), null + shift)
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

/// The smallest true drop that some test of the family would have shown with even odds, were it
/// the only one: the null drop and as many standard errors as the first step of
/// Benjamini-Hochberg asks. Of each test it takes the effective games with the move and with the
/// others; none without a test.
pub(super) fn smallest_detectable(
    tests: impl ExactSizeIterator<Item = [f64; 2]>,
    hunt: &Hunt,
) -> Option<f64> {
    let level = hunt.fdr / tests.len() as f64;
    // At most half a point: without draws, between equals.
    let errors = tests.map(|[a, b]| 0.5 * (1.0 / a + 1.0 / b).sqrt());
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
