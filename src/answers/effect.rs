//! How much the games of a position tell under a filter.

use super::stats::{Answers, DesignEffect, Results};
use crate::counts::{Counts, GroupGames, GroupsOf, MoveCounts, PositionCounts};
use crate::terms::{Key, MoverFilter};
use shakmaty::{Chess, Move, Position};

/// The design effect of the games that movers of the filter played in a position; one for all its
/// figures, whatever part of the filter they are about.
pub(super) fn design_effect(counts: Option<&PositionCounts>, filter: MoverFilter) -> DesignEffect {
    counts.map_or(DesignEffect::of(&[]), |counts| effect_of_groups(&counts.groups_by_move(filter)))
}

/// The same of positions that are looked at together, such as those after several slips.
pub(super) fn design_effect_of<'a>(
    positions: impl Iterator<Item = &'a PositionCounts>,
    filter: MoverFilter,
) -> DesignEffect {
    effect_of_groups(
        &positions.flat_map(|counts| counts.groups_by_move(filter)).collect::<Vec<_>>(),
    )
}

/// The same of such games by group, one entry for each move.
pub(super) fn effect_of_groups(moves: &[GroupGames]) -> DesignEffect {
    DesignEffect::of(&moves.iter().map(|games| *games.as_array()).collect::<Vec<_>>())
}

/// The key of the position behind a legal move; that of the position itself is known.
pub(super) fn behind(key: Key, position: &Chess, mv: Move) -> Key {
    let mut after = position.clone();
    after.play_unchecked(mv);
    key.behind(position, mv, &after)
}

/// What movers of the filter who answer in each of these positions add to the variance of the
/// scores before it.
pub(super) fn answers_at<C: Counts>(
    counts: &C,
    keys: &[Key],
    filter: MoverFilter,
) -> Result<Vec<Answers>, C::Error> {
    let mut known = vec![Answers::default(); keys.len()];
    let make = |_, moves: &[MoveCounts], groups: &GroupsOf<'_>| {
        answers(moves, || effect_of_groups(&groups(filter)), filter)
    };
    counts.moves_of_many(keys, make, |place, answers| known[place] = answers)?;
    Ok(known)
}

/// The same of the moves that are played there, and how much their games tell, which is asked for
/// only where it matters.
pub(super) fn answers(
    moves: &[MoveCounts],
    effect: impl FnOnce() -> DesignEffect,
    filter: MoverFilter,
) -> Answers {
    let results = |mv: &MoveCounts| {
        let (mut games, mut wins, mut draws) = (0, 0, 0);
        for (_, cell) in mv.cells.iter().filter(|(id, _)| filter.admits(*id)) {
            (games, wins, draws) = (games + cell.games, wins + cell.wins, draws + cell.draws);
        }
        let losses = (games - wins - draws) as f64;
        Results { wins: wins as f64, draws: draws as f64, losses }
    };
    Answers::of(&moves.iter().map(results).collect::<Vec<_>>(), effect)
}
