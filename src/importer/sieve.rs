//! Rare positions, left out before anything is sorted.

use crate::counts::Record;
use crate::terms::Key;

/// Leaves out records of positions that cannot be kept, from among all those of a range of keys.
///
/// Nearly all positions occur once or twice, and most records are theirs. They are found by a table
/// of counters, each for all keys with the same low bits: where it stays below the games wanted, so
/// does every position there.
#[derive(Default)]
pub(super) struct Sieve {
    /// Records by the low bits of their keys; stops at the highest number.
    counters: Vec<u8>,
}

impl Sieve {
    /// Takes out most records of positions with fewer than `least` of them, and none of others or
    /// of the `wanted`; how many.
    pub(super) fn leave_out(
        &mut self,
        chunks: &mut [Vec<Record>],
        least: u64,
        wanted: impl Iterator<Item = Key>,
    ) -> u64 {
        let records: usize = chunks.iter().map(Vec::len).sum();
        let mask = records.next_power_of_two() - 1;
        let counter = |key: Key| key.0 as usize & mask;
        self.counters.clear();
        self.counters.resize(mask + 1, 0);
        for record in chunks.iter().flatten() {
            let seen = &mut self.counters[counter(record.key())];
            *seen = seen.saturating_add(1);
        }
        wanted.for_each(|key| self.counters[counter(key)] = u8::MAX);
        let least = least.min(u8::MAX.into()) as u8;
        for chunk in &mut *chunks {
            // Moved before it is known whether it stays, which spares the processor a
            // guess for each.
            let mut kept = 0;
            for at in 0..chunk.len() {
                let record = chunk[at];
                chunk[kept] = record;
                kept += usize::from(self.counters[counter(record.key())] >= least);
            }
            chunk.truncate(kept);
        }
        (records - chunks.iter().map(Vec::len).sum::<usize>()) as u64
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
                let mut chunks: Vec<_> = records.chunks(7).map(<[Record]>::to_vec).collect();
                let left_out = sieve.leave_out(&mut chunks, least, [wanted].into_iter());
                let passed = chunks.concat();
                let stays = |record: &&Record| games[&record.key()] >= least || record.key() == wanted;
                let must: Vec<_> = records.iter().filter(stays).map(Record::words).collect();
                let did: Vec<_> = passed.iter().filter(stays).map(Record::words).collect();
                prop_assert_eq!(did, must);
                prop_assert_eq!(passed.len() + left_out as usize, records.len());
            }
        }
    }

    #[test]
    fn what_occurs_once_is_left_out_and_more_games_than_a_counter_holds_are_many() {
        let rare = (0..500).map(|number| record(2 * number + 1, 0));
        let often = (0..300).map(|number| record(1000, number));
        let records: Vec<Record> = rare.chain(often).collect();
        let mut sieve = Sieve::default();
        let mut chunks = [records];
        assert_eq!(sieve.leave_out(&mut chunks, 300, std::iter::empty()), 500);
        assert_eq!(keys(&chunks[0]), [1000; 300]);
    }
}
