//! Sorted records into the counts of positions.

use std::collections::BTreeMap;

use crate::counts::{
    Cell, Key, MoveCounts, NameId, Opening, OpeningTag, OpeningTally, PositionCounts, Record,
};

/// What some records of one position come to; adds up with that of others.
#[derive(Clone, Debug)]
pub(super) struct Gathered {
    counts: PositionCounts,
    names: BTreeMap<NameId, u64>,
}

impl Gathered {
    /// From records of one position, sorted.
    pub(super) fn from_records(records: &[Record]) -> Gathered {
        let key = records.first().map_or(Key(0), Record::key);
        let mut counts = PositionCounts { key, may_lack: 0, opening: None, moves: Vec::new() };
        for cell in records.chunk_by(|a, b| a.cell_bits() == b.cell_bits()) {
            let mut sum = Cell::default();
            cell.iter().for_each(|record| record.add_to(&mut sum));
            let entry = (cell[0].cell_id(), sum);
            match counts.moves.last_mut().filter(|last| last.code == cell[0].code()) {
                Some(last) => last.cells.push(entry),
                None => counts.moves.push(MoveCounts { code: cell[0].code(), cells: vec![entry] }),
            }
        }
        let mut ids: Vec<NameId> =
            records.iter().map(Record::name).filter(|&id| id != NameId::NONE).collect();
        ids.sort_unstable();
        let names = ids.chunk_by(|a, b| a == b).map(|same| (same[0], same.len() as u64)).collect();
        Gathered { counts, names }
    }

    /// Adds more records of the same position.
    pub(super) fn merge(&mut self, other: Gathered) {
        self.counts.merge(other.counts);
        for (id, games) in other.names {
            *self.names.entry(id).or_default() += games;
        }
    }

    /// The finished counts; ids are places in `tags`, from 1.
    pub(super) fn into_counts(self, tags: &[OpeningTag]) -> PositionCounts {
        let tag = |id: NameId| tags.get((id.get() as usize).wrapping_sub(1));
        let tallies: Vec<OpeningTally<'_>> =
            self.names.iter().filter_map(|(&id, &games)| Some((tag(id)?, games))).collect();
        PositionCounts { opening: Opening::learn(&tallies), ..self.counts }
    }
}
