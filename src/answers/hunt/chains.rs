//! Every loss is reported once: where it happens.
//!
//! A slip costs points; so does, a little, every move on the way to it, and every move behind it
//! finds the victim lost. Moves after a slip are mostly hidden by the rule that the position must
//! have been in order. For the others:
//!
//! - A move is *on the way* if it no longer loses significantly once the games that go on to later
//!   slips are taken out. How many these are is what the flow from after the move to the slip's
//!   position says.
//! - A slip is *behind* another if most games of its position come through the other one.

use super::flow::Flow;
use super::reach::Hits;
use super::refutation::{Refutation, refutation};
use super::rules::{IN_ORDER, TESTED_FROM};
use super::significance::{p_value_of_part, results, usual_points};
use super::slip::{Slip, edge};
use super::walk::{PositionId, Walk};
use super::{Hunt, report::HiddenBy};
use crate::answers::stats::Results;
use crate::answers::trap::Cache;
use crate::answers::{Question, Sample};
use crate::counts::Counts;

/// A slip that lost significantly, in a position that was in order, with its refutation.
pub(super) struct Fall {
    pub slip: Slip,
    pub refutation: Refutation,
}

/// The falls that are left of the significant slips: by position, those of one position beside each
/// other, the costliest first.
pub(super) fn falls<C: Counts>(
    cache: &Cache<'_, C>,
    hunt: &Hunt,
    question: &Question,
    walk: &Walk,
    flow: &Flow,
    slips: Vec<Slip>,
    hidden: &mut HiddenBy,
) -> Result<Vec<Vec<Fall>>, C::Error> {
    let cut = slips.iter().map(|slip| slip.p).fold(0.0, f64::max);
    let lost: Vec<_> = slips.iter().map(|slip| (slip.at, slip.code)).collect();
    let mut kept = Vec::new();
    for slip in slips {
        if in_order(&slip, &lost) < IN_ORDER {
            hidden.not_in_order += 1;
        } else if slip.loss() < hunt.min_drop {
            hidden.small_drop += 1;
        } else {
            kept.push(slip);
        }
    }
    // The deepest first: what is on the way is known by what lies behind it.
    kept.sort_by_key(|slip| (std::cmp::Reverse(walk.at(slip.at).ply), slip.at, slip.code));
    let before = kept.len();
    let kept = told_once(hunt, walk, flow, kept, cut);
    hidden.told_elsewhere += (before - kept.len()) as u64;
    let mut positions: Vec<Vec<Fall>> = Vec::new();
    for slip in kept {
        let Some(refutation) = refute(cache, (hunt, question), walk, &slip)? else {
            hidden.no_refutation += 1;
            continue;
        };
        let fall = Fall { slip, refutation };
        match positions.last_mut().filter(|falls| falls[0].slip.at == fall.slip.at) {
            Some(falls) => falls.push(fall),
            None => positions.push(vec![fall]),
        }
    }
    let cost = |fall: &Fall| fall.slip.loss() * fall.slip.sample.games() as f64;
    positions.iter_mut().for_each(|falls| falls.sort_by(|a, b| cost(b).total_cmp(&cost(a))));
    Ok(positions)
}

/// Edge of the other moves, those that are slips themselves left out where enough games remain
/// without them.
pub(super) fn in_order(slip: &Slip, lost: &[(PositionId, crate::terms::MoveCode)]) -> f64 {
    let sound = slip.rivals.iter().filter(|(code, _)| !lost.contains(&(slip.at, *code)));
    let sound = sound.fold(Sample::default(), |sum, (_, sample)| sum.plus(*sample));
    if sound.games() >= TESTED_FROM { edge(&sound) } else { edge(&slip.others) }
}

pub(super) fn refute<C: Counts>(
    cache: &Cache<'_, C>,
    (hunt, question): (&Hunt, &Question),
    walk: &Walk,
    slip: &Slip,
) -> Result<Option<Refutation>, C::Error> {
    let Some(after) = walk.behind(slip.at, slip.code) else { return Ok(None) };
    let found = cache.position(walk.at(after).key)?;
    let replies = found.as_deref();
    Ok(replies.and_then(|found| refutation(found, question.filter, hunt.setter, cache.baseline())))
}

/// Takes slips, the deepest first, and leaves those where a fall happens.
fn told_once(hunt: &Hunt, walk: &Walk, flow: &Flow, slips: Vec<Slip>, cut: f64) -> Vec<Slip> {
    let after: Vec<Option<PositionId>> =
        slips.iter().map(|slip| walk.behind(slip.at, slip.code)).collect();
    let mut hits = Hits::for_positions(walk.positions.len());
    // chance[b][a]: that a game goes from behind slip a to the position of slip b.
    let mut chance: Vec<Vec<f64>> = Vec::with_capacity(slips.len());
    for (place, slip) in slips.iter().enumerate() {
        let known = place.checked_sub(1).filter(|&last| slips[last].at == slip.at);
        let row = match known {
            Some(last) => chance[last].clone(),
            None => {
                hits.find(flow, slip.at);
                after.iter().map(|&id| id.map_or(0.0, |id| hits.from(id))).collect()
            }
        };
        chance.push(row);
    }
    let mut kept: Vec<usize> = Vec::new();
    for (a, slip) in slips.iter().enumerate() {
        let behind = kept.iter().filter(|&&b| slips[b].at != slip.at && chance[b][a] > 0.0);
        let later: Vec<(&Slip, f64)> = behind.map(|&b| (&slips[b], chance[b][a])).collect();
        if !later.is_empty() && !falls_by_itself(hunt, slip, &later, cut) {
            continue;
        }
        kept.retain(|&b| {
            let through = slip.sample.games() as f64 * chance[b][a];
            slips[b].at == slip.at || through <= 0.5 * slips[b].games() as f64
        });
        kept.push(a);
    }
    let mut index = 0..;
    let keep = |_: &Slip| index.next().is_some_and(|place: usize| kept.contains(&place));
    slips.into_iter().filter(keep).collect()
}

/// Whether a slip still loses significantly without the games that go on to later slips.
fn falls_by_itself(hunt: &Hunt, slip: &Slip, later: &[(&Slip, f64)], cut: f64) -> bool {
    let (mut left, mut usual) = (results(&slip.sample), usual_points(&slip.sample));
    for (slipped, chance) in later {
        let share = slipped.sample.games() as f64 / slipped.games() as f64;
        let scale = slip.sample.games() as f64 * chance * share / slipped.sample.games() as f64;
        let out = results(&slipped.sample);
        left = Results {
            wins: (left.wins - scale * out.wins).max(0.0),
            draws: (left.draws - scale * out.draws).max(0.0),
            losses: (left.losses - scale * out.losses).max(0.0),
        };
        usual -= scale * usual_points(&slipped.sample);
    }
    if left.games() < 1.0 {
        return false;
    }
    let drop = edge(&slip.others) - (left.score() - usual / left.games());
    drop >= hunt.min_drop && p_value_of_part(slip, left, usual, hunt.null_drop) <= cut
}
