//! Sums by band and pace, added up under many filters.

use shakmaty::Color;

use crate::answers::stats::Factor;
use crate::answers::{Baseline, Sample};
use crate::counts::{MoveCounts, PositionCounts, Totals};
use crate::terms::{CellId, MoveCode, MoverFilter};

/// One value a band and pace, the moves of a position already added up: a filter then adds a few
/// dozen values instead of every cell of every move. Only ids with games, ascending.
#[derive(Clone, Debug)]
pub(super) struct PerCell<T>(Vec<(CellId, T)>);

impl<T> Default for PerCell<T> {
    fn default() -> PerCell<T> {
        PerCell(Vec::new())
    }
}

impl<T: Copy + Default> PerCell<T> {
    /// The values that the filter lets through, added up.
    pub fn sum(&self, filter: MoverFilter, plus: impl Fn(T, T) -> T) -> T {
        // A table has a sum for each band, of which there are few.
        let place = |points| self.0.partition_point(|(id, _)| id.band().from() < points);
        let within = &self.0[place(filter.bands.from)..place(filter.bands.below)];
        let admitted = within.iter().filter(|(id, _)| filter.admits(*id));
        admitted.fold(T::default(), |sum, &(_, value)| plus(sum, value))
    }

    pub fn map(self, f: impl Fn(T) -> T) -> PerCell<T> {
        PerCell(self.0.into_iter().map(|(id, value)| (id, f(value))).collect())
    }

    fn collect(slots: Vec<Option<T>>) -> PerCell<T> {
        let ids = slots.into_iter().enumerate().filter_map(|(index, slot)| {
            Some((CellId::from_bits(u8::try_from(index).ok()?)?, slot?))
        });
        PerCell(ids.collect())
    }
}

impl PerCell<Factor> {
    /// Some moves among all moves of a position.
    pub fn splits(counts: Option<&PositionCounts>, codes: &[MoveCode]) -> PerCell<Factor> {
        let mut slots: Vec<Option<Factor>> = vec![None; CellId::COUNT];
        for mv in counts.into_iter().flat_map(|counts| &counts.moves) {
            let own = codes.contains(&mv.code);
            for (id, cell) in &mv.cells {
                let slot = slots[id.index()].get_or_insert_default();
                slot.n += cell.games;
                slot.k += if own { cell.games } else { 0 };
            }
        }
        PerCell::collect(slots)
    }
}

impl PerCell<Sample> {
    /// The moves of a position that are `wanted`, from the mover's view.
    pub fn samples(
        counts: Option<&PositionCounts>,
        wanted: &dyn Fn(MoveCode) -> bool,
        mover: Color,
        baseline: &Baseline,
    ) -> PerCell<Sample> {
        let mut slots: Vec<Option<Sample>> = vec![None; CellId::COUNT];
        let moves = counts.into_iter().flat_map(|counts| &counts.moves);
        for (id, cell) in moves.filter(|mv| wanted(mv.code)).flat_map(|mv| &mv.cells) {
            let one = Sample::of([(*id, cell)].into_iter(), mover, baseline);
            let slot = slots[id.index()].get_or_insert_default();
            *slot = slot.plus(one);
        }
        PerCell::collect(slots)
    }
}

impl PerCell<u64> {
    /// The games of a move.
    pub fn of_move(mv: &MoveCounts) -> PerCell<u64> {
        PerCell(mv.cells.iter().map(|(id, cell)| (*id, cell.games)).collect())
    }

    pub fn games(totals: &Totals, colour: Color) -> PerCell<u64> {
        let ours = totals.rows().filter(|(side, ..)| *side == colour);
        PerCell(ours.map(|(_, id, cell)| (id, cell.games)).collect())
    }
}
