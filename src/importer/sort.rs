//! Sorting the records of a partition.

use crate::counts::Record;

/// Records a bucket aimed at: so few that most are sorted by a comparison or two.
const BUCKET: usize = 2;
const MOST_BITS: u32 = 15;

/// Sorts the records of `chunks` into `out` by position.
///
/// All keys share their bits above the lowest `key_bits`. Records are first scattered by the bits
/// below, in which hashes are uniform, then each small bucket is sorted by comparison.
pub fn sort_into<'r>(
    chunks: impl Iterator<Item = &'r [Record]> + Clone,
    key_bits: u32,
    out: &mut Vec<Record>,
) {
    let count: usize = chunks.clone().map(<[Record]>::len).sum();
    let bits = (count / BUCKET).max(1).ilog2().min(MOST_BITS).min(key_bits);
    let shift = key_bits - bits;
    let mask = (1usize << bits) - 1;
    let bucket = |record: &Record| (record.key().0 >> shift) as usize & mask;
    let mut starts = vec![0u32; mask + 2];
    for chunk in chunks.clone() {
        for record in chunk {
            starts[bucket(record) + 1] += 1;
        }
    }
    for place in 1..starts.len() {
        starts[place] += starts[place - 1];
    }
    // What is there is overwritten.
    out.resize(count, Record::default());
    let mut next = starts.clone();
    for chunk in chunks {
        for record in chunk {
            let place = &mut next[bucket(record)];
            out[*place as usize] = *record;
            *place += 1;
        }
    }
    for ends in starts.windows(2) {
        match &mut out[ends[0] as usize..ends[1] as usize] {
            [] | [_] => {}
            [a, b] if a.key() <= b.key() => {}
            [a, b] => std::mem::swap(a, b),
            more => more.sort_unstable_by_key(Record::key),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::terms::{Band, CellId, Key, MoveCode, Outcome, Pace};
    use proptest::prelude::*;

    fn record(key: u64, code: u16) -> Record {
        let id = CellId::new(Band::from_index(15).expect("a band"), Pace::Blitz);
        let code = MoveCode::from_bits(code * 8).expect("no promotion");
        Record::new(Key(key), code, id, Outcome::Win, 500)
    }

    proptest! {
        #[test]
        fn equals_a_plain_sort(keys in prop::collection::vec((0u64..1 << 56, 0u16..9), 0..3000), few in any::<bool>()) {
            let records: Vec<Record> =
                keys.iter().map(|&(key, code)| record(if few { key % 7 } else { key }, code)).collect();
            let mut sorted = Vec::new();
            sort_into(records.chunks(100), 56, &mut sorted);
            prop_assert!(sorted.is_sorted_by_key(Record::key));
            let in_full = |mut records: Vec<Record>| {
                records.sort_by_key(Record::words);
                records
            };
            prop_assert_eq!(in_full(sorted), in_full(records));
        }
    }
}
