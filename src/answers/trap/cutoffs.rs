//! From where on somebody stands worse, by evaluations of the dumps.

use serde::Serialize;

use super::evidence::Evidence;
use crate::counts::{Cell, MoveCounts};
use crate::terms::{MoveCode, MoverFilter};

/// Evaluations that something is concluded from, on each side of a comparison: by `trap`, `lesson`,
/// `student` and `hunt` alike. All evaluations after a move are of one position, whoever played it,
/// so it takes fewer than a figure of games, and no player's habits are in them.
const LEAST_EVALS: u64 = 5;

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
        SoundnessCutoffs { slip_loses_cp: 150.0, sound_from_cp: -50.0, least_evals: LEAST_EVALS }
    }
}

/// The mean of evaluations, centipawns from the mover's view; none of too few to conclude anything.
pub(in crate::answers) fn mean_cp(cell: &Cell) -> Option<f64> {
    (cell.eval_games >= LEAST_EVALS).then(|| cell.eval_cp as f64 / cell.eval_games as f64)
}

/// The same behind a move, with their number. Evaluations belong to positions, so movers of all
/// ratings and paces count.
fn evaluated(mv: &MoveCounts) -> Option<(f64, u64)> {
    let cell = mv.sum(MoverFilter::ALL);
    Some((mean_cp(&cell)?, cell.eval_games))
}

/// Whether whoever has so many centipawns stands worse: below the cut of soundness.
fn stands_worse(cp: f64) -> bool {
    cp < SoundnessCutoffs::default().sound_from_cp
}

/// Those of the moves of a position that evaluations put below the cut of soundness, where another
/// one is not. Slips are neither.
pub(in crate::answers) fn left_worse<'a>(
    moves: impl IntoIterator<Item = &'a MoveCounts>,
    slips: &[MoveCode],
) -> Vec<MoveCode> {
    let known = moves.into_iter().filter(|mv| !slips.contains(&mv.code));
    let known = known.filter_map(|mv| Some((mv.code, stands_worse(evaluated(mv)?.0))));
    let (worse, held): (Vec<_>, Vec<_>) = known.partition(|(_, worse)| *worse);
    if held.is_empty() { Vec::new() } else { worse.into_iter().map(|(code, _)| code).collect() }
}

/// What the bait loses against the setter's best other move, centipawns, and the evaluations behind
/// the thinner of the two means.
pub(super) fn bait_loses(evidence: &Evidence) -> Option<(f64, u64)> {
    let bait = evidence.bait.as_ref()?;
    let moves = bait.counts.iter().flat_map(|counts| &counts.moves);
    let known = moves.filter_map(|mv| Some((bait.has(mv.code), evaluated(mv)?)));
    let (own, others): (Vec<_>, Vec<_>) = known.partition(|(own, _)| *own);
    let (_, (best, n)) = others.into_iter().max_by(|a, b| a.1.0.total_cmp(&b.1.0))?;
    let (_, (bait, of_bait)) = own.first()?;
    Some((best - bait, n.min(*of_bait)))
}
