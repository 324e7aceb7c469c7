//! From where on somebody stands worse, by evaluations of the dumps.

use serde::Serialize;

use super::evidence::Evidence;
use crate::counts::MoveCounts;
use crate::terms::{MoveCode, MoverFilter};

/// The limits of the verdict.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct SoundnessCutoffs {
    /// Centipawns that the slip must lose at least against the best move.
    pub slip_loses_cp: f64,
    /// The setter's least evaluation without the slip for "sound"; below it is a gamble.
    pub sound_from_cp: f64,
    /// Evaluations that the mean after a move needs to be used.
    pub least_evals: u64,
}

impl Default for SoundnessCutoffs {
    fn default() -> SoundnessCutoffs {
        SoundnessCutoffs { slip_loses_cp: 150.0, sound_from_cp: -50.0, least_evals: 5 }
    }
}

/// The mean evaluation behind a move in counted games of all ratings, centipawns from its player's view; none of too few.
fn evaluated(mv: &MoveCounts) -> Option<f64> {
    let cell = mv.sum(MoverFilter::ALL);
    let enough = cell.eval_games >= SoundnessCutoffs::default().least_evals;
    enough.then(|| cell.eval_cp as f64 / cell.eval_games as f64)
}

/// Whether whoever has so many centipawns stands worse: below the cut of soundness.
fn stands_worse(cp: f64) -> bool {
    cp < SoundnessCutoffs::default().sound_from_cp
}

/// Those of the moves of a position that evaluations put below the cut of soundness, where another one is not. Slips are neither.
pub(in crate::answers) fn left_worse<'a>(
    moves: impl IntoIterator<Item = &'a MoveCounts>,
    slips: &[MoveCode],
) -> Vec<MoveCode> {
    let known = moves.into_iter().filter(|mv| !slips.contains(&mv.code));
    let known = known.filter_map(|mv| Some((mv.code, stands_worse(evaluated(mv)?))));
    let (worse, held): (Vec<_>, Vec<_>) = known.partition(|(_, worse)| *worse);
    if held.is_empty() { Vec::new() } else { worse.into_iter().map(|(code, _)| code).collect() }
}

/// What the bait loses against the setter's best other move, centipawns.
pub(super) fn bait_loses(evidence: &Evidence) -> Option<f64> {
    let bait = evidence.bait.as_ref()?;
    let moves = bait.counts.iter().flat_map(|counts| &counts.moves);
    let known = moves.filter_map(|mv| Some((bait.has(mv.code), evaluated(mv)?)));
    let (own, others): (Vec<_>, Vec<_>) = known.partition(|(own, _)| *own);
    let best = others.into_iter().map(|(_, cp)| cp).reduce(f64::max)?;
    Some(best - own.first()?.1)
}
