//! Positions with so many records that it is cheaper to keep their sums in memory.

use std::collections::BTreeMap;
use std::collections::btree_map::Entry;

use super::gather::Gathered;
use super::partitions::{first_key, last_key};
use crate::counts::Record;
use crate::terms::Key;

/// Records of one position from which on they are added up.
const HOT: usize = 1 << 9;

/// Sums of positions. Of each, wherever records were taken from, one is left there to call
/// for the sum.
#[derive(Clone, Debug, Default)]
pub(super) struct HotSums {
    sums: BTreeMap<Key, Gathered>,
    bytes: usize,
    most: usize,
}

impl HotSums {
    /// No sums yet; those to come may take about `bytes`.
    pub(super) fn new(bytes: usize) -> HotSums {
        HotSums { most: bytes, ..HotSums::default() }
    }

    /// Adds up positions that have very many of the records, which are sorted by position, and
    /// leaves one record of each. Without room for more sums, only positions known already.
    pub(super) fn take_from(&mut self, sorted: &mut Vec<Record>) {
        let (mut kept, mut seen) = (0, 0);
        while seen < sorted.len() {
            let key = sorted[seen].key();
            let records = sorted[seen..].iter().take_while(|record| record.key() == key).count();
            let hot = records >= HOT && (self.bytes < self.most || self.sums.contains_key(&key));
            let stay = if hot { 1 } else { records };
            if hot {
                let go = &mut sorted[seen + 1..seen + records];
                go.sort_unstable_by_key(Record::group_bits);
                self.add(key, Gathered::from_records(go));
            }
            if kept < seen {
                sorted.copy_within(seen..seen + stay, kept);
            }
            (kept, seen) = (kept + stay, seen + records);
        }
        sorted.truncate(kept);
    }

    fn add(&mut self, key: Key, sum: Gathered) {
        let (before, after) = match self.sums.entry(key) {
            Entry::Occupied(mut known) => {
                let before = known.get().bytes();
                known.get_mut().merge(sum);
                (before, known.get().bytes())
            }
            Entry::Vacant(place) => (0, place.insert(sum).bytes()),
        };
        self.bytes += after - before;
    }

    /// Adds all sums of others.
    pub(super) fn merge(&mut self, other: HotSums) {
        other.sums.into_iter().for_each(|(key, sum)| self.add(key, sum));
    }

    /// The sums of one partition, with room for any more.
    pub(super) fn of_partition(&self, partition: usize) -> HotSums {
        let here = self.sums.range(first_key(partition)..=last_key(partition));
        let sums = here.map(|(key, sum)| (*key, sum.clone())).collect();
        HotSums { sums, bytes: 0, most: usize::MAX }
    }

    /// Takes the sum of a position, if there is one; to be asked in the order of keys.
    pub(super) fn take(&mut self, key: Key) -> Option<Gathered> {
        let first = self.sums.first_entry().filter(|first| *first.key() == key)?;
        Some(first.remove())
    }

    /// The positions of all sums up to `last`.
    pub(super) fn keys_up_to(&self, last: Key) -> impl Iterator<Item = Key> {
        self.sums.range(..=last).map(|(key, _)| *key)
    }

    /// Whether every sum was taken.
    pub(super) fn is_empty(&self) -> bool {
        self.sums.is_empty()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::terms::{Band, CellId, MoveCode, Outcome, Pace};

    fn records(counts: &[(u64, usize)]) -> Vec<Record> {
        let code = MoveCode::from_bits(796).expect("no promotion");
        let id = |number| CellId::new(Band::from_index(number % 3).expect("a band"), Pace::Blitz);
        let record = |key, number| Record::new(Key(key), code, id(number), Outcome::Win, 500);
        let of = |&(key, count): &(u64, usize)| (0..count).map(move |number| record(key, number));
        counts.iter().flat_map(of).collect()
    }

    fn counted(sorted: &[Record]) -> Vec<(u64, usize)> {
        let same = sorted.chunk_by(|a, b| a.key() == b.key());
        same.map(|records| (records[0].key().0, records.len())).collect()
    }

    #[test]
    fn of_a_position_with_very_many_records_one_stays_and_the_others_are_added_up() {
        let mut sorted = records(&[(3, HOT - 1), (5, HOT), (6, 1), (9, 2 * HOT)]);
        let mut hot = HotSums::new(1 << 20);
        hot.take_from(&mut sorted);
        assert_eq!(counted(&sorted), [(3, HOT - 1), (5, 1), (6, 1), (9, 1)]);
        let mut hot = hot.of_partition(0);
        let games = [3, 5, 6, 9].map(|key| hot.take(Key(key)).map(|sum| sum.games()));
        assert_eq!(games, [None, Some(HOT as u64 - 1), None, Some(2 * HOT as u64 - 1)]);
        assert!(hot.is_empty());
    }

    #[test]
    fn without_room_only_known_positions_are_added_up() {
        let mut hot = HotSums::new(1);
        hot.take_from(&mut records(&[(3, HOT)]));
        let mut sorted = records(&[(3, HOT), (5, HOT)]);
        hot.take_from(&mut sorted);
        assert_eq!(counted(&sorted), [(3, 1), (5, HOT)]);
    }
}
