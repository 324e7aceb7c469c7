//! How much the games of positions are worth, worked out once.

use std::cell::RefCell;
use std::collections::HashMap;

use shakmaty::Color;

use crate::answers::effect::{answers, design_effect_of};
use crate::answers::stats::{Answers, DesignEffect, Margin, occurrence_margin};
use crate::counts::{PositionCounts, Totals};
use crate::terms::{Key, MoverFilter};

/// Design effects, each worked out once a position and filter: hot positions have many groups to
/// add up, and several traps and figures ask for the same ones.
#[derive(Debug)]
pub(super) struct Effects<'a> {
    totals: &'a Totals,
    of_moves: RefCell<HashMap<(Vec<Key>, MoverFilter), DesignEffect>>,
    of_occurrence: RefCell<HashMap<(Key, MoverFilter), Margin>>,
}

impl<'a> Effects<'a> {
    pub fn of(totals: &'a Totals) -> Effects<'a> {
        Effects { totals, of_moves: RefCell::default(), of_occurrence: RefCell::default() }
    }

    /// Of the moves of positions that are looked at together, mostly one.
    pub fn positions(
        &self,
        places: &[(Key, Option<&PositionCounts>)],
        filter: MoverFilter,
    ) -> DesignEffect {
        let mut known = self.of_moves.borrow_mut();
        let keys = places.iter().map(|(key, _)| *key).collect();
        let work_out = || design_effect_of(places.iter().filter_map(|place| place.1), filter);
        *known.entry((keys, filter)).or_insert_with(work_out)
    }

    /// What those who answer in a position add to scores before it.
    pub fn answers(
        &self,
        key: Key,
        counts: Option<&PositionCounts>,
        filter: MoverFilter,
    ) -> Answers {
        let effect = || self.positions(&[(key, counts)], filter);
        counts.map_or_else(Answers::default, |counts| answers(&counts.moves, effect, filter))
    }

    /// Of the games of a position among all games of the mover's colour.
    pub fn occurrence(
        &self,
        key: Key,
        counts: Option<&PositionCounts>,
        mover: Color,
        filter: MoverFilter,
    ) -> Margin {
        let work_out = || {
            let here = counts.map(|counts| counts.groups.sum(filter)).unwrap_or_default();
            occurrence_margin(here.as_array(), self.totals.groups(mover, filter).as_array())
        };
        *self.of_occurrence.borrow_mut().entry((key, filter)).or_insert_with(work_out)
    }
}
