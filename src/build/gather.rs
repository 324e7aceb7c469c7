//! Sorted records into the counts of positions.

use std::collections::BTreeMap;

use crate::counts::{
    Cell, CellId, Key, MoveCode, MoveCounts, NameId, Opening, OpeningTag, OpeningTally,
    PositionCounts, Record,
};

/// Records of one position from which on a run leaves them out. Each worker holds the sums of at most a
/// few hundred such positions; and no run, so no slice of all runs, has many records of one position.
const HOT: usize = 1 << 11;

/// Sums of the positions that runs leave out, but for one record each that calls for them.
pub(super) type HotSums = BTreeMap<Key, Gathered>;

/// Adds up the positions that have very many of the records, sorted by position, and leaves one record
/// of each.
pub(super) fn add_up_hot(sorted: &mut Vec<Record>, hot: &mut HotSums) {
    let (mut kept, mut seen) = (0, 0);
    while seen < sorted.len() {
        let key = sorted[seen].key();
        let records = sorted[seen..].iter().take_while(|record| record.key() == key).count();
        let stay = if records < HOT {
            records
        } else {
            let go = &mut sorted[seen + 1..seen + records];
            go.sort_unstable_by_key(Record::cell_bits);
            add_sum(hot, key, Gathered::from_records(go));
            1
        };
        if kept < seen {
            sorted.copy_within(seen..seen + stay, kept);
        }
        (kept, seen) = (kept + stay, seen + records);
    }
    sorted.truncate(kept);
}

/// Adds the sum of one position.
pub(super) fn add_sum(hot: &mut HotSums, key: Key, sum: Gathered) {
    match hot.get_mut(&key) {
        Some(known) => known.merge(sum),
        None => drop(hot.insert(key, sum)),
    }
}

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
        for (code, id, cell) in cells(records) {
            match counts.moves.last_mut().filter(|last| last.code == code) {
                Some(last) => last.cells.push((id, cell)),
                None => counts.moves.push(MoveCounts { code, cells: vec![(id, cell)] }),
            }
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

    /// The finished counts; ids are places in `tags`, from 1.
    pub(super) fn into_counts(self, tags: &[OpeningTag]) -> PositionCounts {
        let tallies: Vec<OpeningTally<'_>> = tallies(self.names, tags).collect();
        PositionCounts { opening: Opening::learn(&tallies), ..self.counts }
    }
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::counts::{Band, Outcome, Pace};

    fn records(key: u64, count: usize) -> impl Iterator<Item = Record> {
        let code = MoveCode::from_bits(796).expect("no promotion");
        let band = |number| Band::from_index(number % 3).expect("a band");
        (0..count).map(move |number| {
            Record::new(Key(key), code, CellId::new(band(number), Pace::Blitz), Outcome::Win, 500)
        })
    }

    #[test]
    fn of_a_position_with_very_many_records_one_stays_and_the_others_are_added_up() {
        let mut sorted: Vec<Record> = [(3, HOT - 1), (5, HOT), (6, 1), (9, 2 * HOT)]
            .map(|(key, count)| records(key, count))
            .into_iter()
            .flatten()
            .collect();
        let mut hot = HotSums::new();
        add_up_hot(&mut sorted, &mut hot);
        let kept =
            sorted.chunk_by(|a, b| a.key() == b.key()).map(|same| (same[0].key().0, same.len()));
        assert_eq!(kept.collect::<Vec<_>>(), [(3, HOT - 1), (5, 1), (6, 1), (9, 1)]);
        let games = hot.into_iter().map(|(key, sum)| (key.0, sum.counts.games() as usize));
        assert_eq!(games.collect::<Vec<_>>(), [(5, HOT - 1), (9, 2 * HOT - 1)]);
    }
}
