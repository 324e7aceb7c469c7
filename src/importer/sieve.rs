//! Rare positions, left out before anything is sorted.

use crate::counts::Record;
use crate::terms::Key;

/// Takes the records of positions that may be kept from among all those of a range of keys.
///
/// Nearly all positions occur once or twice, and most records are theirs. They are told by a table of counters, each for
/// all keys with the same low bits: where it stays below the games wanted, so does every position there.
#[derive(Default)]
pub(super) struct Sieve {
    /// Records by the low bits of their keys; stops at the highest number.
    counters: Vec<u8>,
    kept: Vec<Record>,
}

impl Sieve {
    /// The records of all positions with `least` of them or more and of the `wanted`, and few others. In their order.
    pub(super) fn pass<'r>(
        &mut self,
        chunks: impl Iterator<Item = &'r [Record]> + Clone,
        least: u64,
        wanted: impl Iterator<Item = Key>,
    ) -> &[Record] {
        let records: usize = chunks.clone().map(<[Record]>::len).sum();
        let mask = records.next_power_of_two() - 1;
        let counter = |key: Key| key.0 as usize & mask;
        self.counters.clear();
        self.counters.resize(mask + 1, 0);
        for record in chunks.clone().flatten() {
            let seen = &mut self.counters[counter(record.key())];
            *seen = seen.saturating_add(1);
        }
        wanted.for_each(|key| self.counters[counter(key)] = u8::MAX);
        let least = least.min(u8::MAX.into()) as u8;
        if self.kept.len() < records {
            self.kept.resize(records, Record::default());
        }
        // Written before it is known whether it stays, which spares the processor a guess for each.
        let mut kept = 0;
        for record in chunks.flatten() {
            self.kept[kept] = *record;
            kept += usize::from(self.counters[counter(record.key())] >= least);
        }
        &self.kept[..kept]
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use super::*;
    use crate::terms::{Band, CellId, MoveCode, Outcome, Pace};
    use proptest::prelude::*;

    fn record(key: u64, number: usize) -> Record {
        let id = CellId::new(Band::from_index(3).expect("a band"), Pace::Blitz);
        let code = MoveCode::from_bits(796).expect("no promotion");
        Record::new(Key(key), code, id, Outcome::Win, (number % 1000) as u16)
    }

    fn keys(records: &[Record]) -> Vec<u64> {
        records.iter().map(|record| record.key().0).collect()
    }

    proptest! {
        #[test]
        fn no_position_with_the_games_or_wanted_loses_a_record(
            keys in prop::collection::vec(0u64..60, 0..300),
            spread in any::<u64>(),
            least in 0u64..9,
            wanted in 0u64..60,
        ) {
            let key = |key: u64| key.wrapping_mul(spread | 1);
            let records: Vec<Record> = keys.iter().enumerate().map(|(number, &at)| record(key(at), number)).collect();
            let mut games = BTreeMap::new();
            records.iter().for_each(|record| *games.entry(record.key()).or_insert(0) += 1);
            let mut sieve = Sieve::default();
            for _ in 0..2 {
                let wanted = Key(key(wanted));
                let passed = sieve.pass(records.chunks(7), least, [wanted].into_iter());
                let stays = |record: &&Record| games[&record.key()] >= least || record.key() == wanted;
                let must: Vec<_> = records.iter().filter(stays).map(Record::words).collect();
                let did: Vec<_> = passed.iter().filter(stays).map(Record::words).collect();
                prop_assert_eq!(did, must);
                prop_assert!(passed.len() <= records.len());
            }
        }
    }

    #[test]
    fn what_occurs_once_is_left_out_and_more_games_than_a_counter_holds_are_many() {
        let rare = (0..500).map(|number| record(2 * number + 1, 0));
        let often = (0..300).map(|number| record(1000, number));
        let records: Vec<Record> = rare.chain(often).collect();
        let mut sieve = Sieve::default();
        let passed = sieve.pass([&records[..]].into_iter(), 300, std::iter::empty());
        assert_eq!(keys(passed), [1000; 300]);
    }
}
