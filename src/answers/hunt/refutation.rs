//! The winning reply, chosen on other games than it is scored on.
//!
//! The best of several replies looks better than it is: of four equal ones with 50 games each the
//! best seems to have an edge of 0.07. So every band and pace is left out once: the reply is chosen
//! on all the others, and scored on the one left out; the sum of these scores flatters nobody.

use crate::answers::Baseline;
use shakmaty::Color;

use super::slip::edge;
use crate::answers::Sample;
use crate::answers::effect::design_effect;
use crate::answers::stats::DesignEffect;
use crate::counts::PositionCounts;
use crate::terms::{CellId, MoveCode, MoverFilter};

/// The reply to a slip.
#[derive(Clone, Debug)]
pub(super) struct Refutation {
    /// The reply chosen on all games.
    pub code: MoveCode,
    /// The games that score it, from the setter's view: of each band and pace those with the reply
    /// that all the others chose.
    pub scored: Sample,
    /// How much the games after the slip are worth.
    pub effect: DesignEffect,
}

/// Looks for a refutation among the setters' replies; `None` unless its honest edge is positive.
pub(super) fn refutation(
    replies: &PositionCounts,
    filter: MoverFilter,
    setter: Color,
    baseline: &Baseline,
) -> Option<Refutation> {
    let moves: Vec<Reply> = replies
        .moves
        .iter()
        .map(|mv| Reply::of(mv.code, &mv.cells, filter, setter, baseline))
        .collect();
    let mut ids: Vec<CellId> =
        moves.iter().flat_map(|reply| reply.cells.iter().map(|(id, _)| *id)).collect();
    ids.sort_unstable();
    ids.dedup();
    let mut scored = Sample::default();
    for id in ids {
        if let Some(chosen) = best(&moves, Some(id)) {
            scored = scored.plus(chosen.cell(id));
        }
    }
    let code = best(&moves, None)?.code;
    let pays = scored.games() > 0 && edge(&scored) > 0.0;
    pays.then(|| Refutation { code, scored, effect: design_effect(Some(replies), filter) })
}

struct Reply {
    code: MoveCode,
    cells: Vec<(CellId, Sample)>,
    all: Sample,
}

impl Reply {
    fn of(
        code: MoveCode,
        cells: &[(CellId, crate::counts::Cell)],
        filter: MoverFilter,
        setter: Color,
        baseline: &Baseline,
    ) -> Reply {
        let cells: Vec<(CellId, Sample)> = cells
            .iter()
            .filter(|(id, _)| filter.admits(*id))
            .map(|(id, cell)| (*id, Sample::of([(*id, cell)].into_iter(), setter, baseline)))
            .collect();
        let all = cells.iter().fold(Sample::default(), |sum, (_, sample)| sum.plus(*sample));
        Reply { code, cells, all }
    }

    fn cell(&self, id: CellId) -> Sample {
        let place = self.cells.binary_search_by_key(&id, |(id, _)| *id);
        place.map_or(Sample::default(), |place| self.cells[place].1)
    }

    fn without(&self, id: CellId) -> Sample {
        let (all, out) = (self.all, self.cell(id));
        Sample {
            wins: all.wins - out.wins,
            draws: all.draws - out.draws,
            losses: all.losses - out.losses,
            expected_milli: all.expected_milli - out.expected_milli,
            ordinary: all.ordinary - out.ordinary,
        }
    }
}

/// The reply with the highest edge less 1 / sqrt(games), which is two standard errors at the most;
/// where there is nothing to learn from, the most played one, which no result has chosen. Ties go
/// to the first by UCI text.
fn best(moves: &[Reply], left_out: Option<CellId>) -> Option<&Reply> {
    let learned = moves.iter().map(|reply| {
        let sample = left_out.map_or(reply.all, |id| reply.without(id));
        let games = sample.games() as f64;
        (reply, if games > 0.0 { edge(&sample) - 1.0 / games.sqrt() } else { f64::NEG_INFINITY })
    });
    let first = |best: (_, f64), next: (_, f64)| if next.1 > best.1 { next } else { best };
    let (reply, limit) = learned.reduce(first)?;
    if limit > f64::NEG_INFINITY {
        return Some(reply);
    }
    moves.iter().reduce(|best, next| if next.all.games() > best.all.games() { next } else { best })
}
