//! Sorted records into the counts of positions.

use std::collections::BTreeMap;

use crate::counts::{
    Cell, CellGroups, MoveCounts, NameId, Opening, OpeningTag, OpeningTally, PositionCounts, Record,
};
use crate::terms::{CellId, Group, Key, MoveCode};

/// What some records of one position come to; adds up with that of others.
#[derive(Clone, Debug)]
pub(super) struct Gathered {
    counts: PositionCounts,
    names: BTreeMap<NameId, u64>,
}

impl Gathered {
    /// From records of one position, sorted by [`Record::group_bits`].
    pub(super) fn from_records(records: &[Record]) -> Gathered {
        let key = records.first().map_or(Key(0), Record::key);
        let mut counts = PositionCounts::empty(key);
        for (code, id, cell) in cells(records) {
            match counts.moves.last_mut().filter(|last| last.code == code) {
                Some(last) => last.cells.push((id, cell)),
                None => counts.moves.push(MoveCounts { code, cells: vec![(id, cell)] }),
            }
        }
        for same in of_groups(records) {
            counts.groups.add(
                same[0].code(),
                same[0].cell_id(),
                same[0].group(),
                same.len() as u64,
            );
        }
        let names = names(records, &mut Vec::new()).collect();
        Gathered { counts, names }
    }

    /// Adds more records of the same position.
    pub(super) fn merge(&mut self, other: Gathered) {
        self.counts.merge(other.counts);
        for (id, games) in other.names {
            *self.names.entry(id).or_default() += games;
        }
    }

    /// Games in them.
    #[cfg(test)]
    pub(super) fn games(&self) -> u64 {
        self.counts.games()
    }

    /// About how much memory they take.
    pub(super) fn bytes(&self) -> usize {
        let cells: usize = self.counts.moves.iter().map(|mv| mv.cells.len()).sum();
        cells * size_of::<(CellId, Cell)>()
            + self.counts.moves.len() * size_of::<MoveCounts>()
            + self.counts.groups.len() * CellGroups::ROW_BYTES
            + self.names.len() * size_of::<[(NameId, u64); 2]>()
    }

    /// The finished counts; ids are places in `tags`, from 1.
    pub(super) fn into_counts(self, tags: &[OpeningTag]) -> PositionCounts {
        let tallies: Vec<OpeningTally<'_>> = tallies(self.names, tags).collect();
        PositionCounts { opening: Opening::learn(&tallies), ..self.counts }
    }
}

/// Records of one position, sorted by [`Record::group_bits`], apart by cell and group.
fn of_groups(records: &[Record]) -> impl Iterator<Item = &[Record]> {
    records.chunk_by(|a, b| a.group_bits() == b.group_bits())
}

/// Their games by group, cell after cell.
pub(super) fn groups(records: &[Record]) -> impl Iterator<Item = (Group, u64)> {
    of_groups(records).map(|same| (same[0].group(), same.len() as u64))
}

/// The cells of records of one position, sorted.
pub(super) fn cells(records: &[Record]) -> impl Iterator<Item = (MoveCode, CellId, Cell)> {
    records.chunk_by(|a, b| a.cell_bits() == b.cell_bits()).map(|same| {
        let mut sum = Cell::default();
        same.iter().for_each(|record| record.add_to(&mut sum));
        (same[0].code(), same[0].cell_id(), sum)
    })
}

/// The opening names of records and how many carry each, in the memory of `ids`.
pub(super) fn names<'i>(
    records: &[Record],
    ids: &'i mut Vec<NameId>,
) -> impl Iterator<Item = (NameId, u64)> + 'i {
    ids.clear();
    ids.extend(records.iter().map(Record::name).filter(|&id| id != NameId::NONE));
    ids.sort_unstable();
    ids.chunk_by(|a, b| a == b).map(|same| (same[0], same.len() as u64))
}

/// Names as tags; ids are places in `tags`, from 1.
pub(super) fn tallies<'t>(
    names: impl IntoIterator<Item = (NameId, u64)>,
    tags: &'t [OpeningTag],
) -> impl Iterator<Item = OpeningTally<'t>> {
    let tag = |id: NameId| tags.get((id.get() as usize).wrapping_sub(1));
    names.into_iter().filter_map(move |(id, games)| Some((tag(id)?, games)))
}
