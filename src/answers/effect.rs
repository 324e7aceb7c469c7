//! How much the games of a position tell under a filter.

use super::stats::DesignEffect;
use crate::counts::{GroupGames, PositionCounts};
use crate::terms::MoverFilter;

/// The design effect of the games that movers of the filter played in a position; one for all its figures, whatever part of
/// the filter they are about.
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
