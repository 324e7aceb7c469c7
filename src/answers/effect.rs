//! How much the games of a position tell under a filter.

use super::stats::{ByGroup, DesignEffect};
use crate::counts::PositionCounts;
use crate::terms::MoverFilter;

/// The design effect of the games that movers of the filter played in a position; one for all its figures, whatever part of
/// the filter they are about.
pub(super) fn design_effect(counts: Option<&PositionCounts>, filter: MoverFilter) -> DesignEffect {
    let moves = counts.into_iter().flat_map(|counts| counts.groups.by_move(filter));
    let moves: Vec<ByGroup> = moves.map(|(_, games)| *games.as_array()).collect();
    DesignEffect::of(&moves)
}
