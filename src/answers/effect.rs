//! How much the games of a position tell under a filter.

use super::stats::{ByGroup, DesignEffect};
use crate::counts::{CellGroups, PositionCounts};
use crate::terms::MoverFilter;

/// The design effect of the games that movers of the filter played in a position; one for all its figures, whatever part of
/// the filter they are about.
pub(super) fn design_effect(counts: Option<&PositionCounts>, filter: MoverFilter) -> DesignEffect {
    counts.map_or(DesignEffect::of(&[]), |counts| effect_of_groups(&counts.groups, filter))
}

/// The same of positions that are looked at together, such as those after several slips.
pub(super) fn design_effect_of<'a>(
    positions: impl Iterator<Item = &'a PositionCounts>,
    filter: MoverFilter,
) -> DesignEffect {
    let moves = positions.flat_map(|counts| by_move(&counts.groups, filter));
    DesignEffect::of(&moves.collect::<Vec<_>>())
}

/// The same of a position's games by group.
pub(super) fn effect_of_groups(groups: &CellGroups, filter: MoverFilter) -> DesignEffect {
    DesignEffect::of(&by_move(groups, filter).collect::<Vec<_>>())
}

fn by_move(groups: &CellGroups, filter: MoverFilter) -> impl Iterator<Item = ByGroup> + '_ {
    groups.by_move(filter).map(|(_, games)| *games.as_array())
}
