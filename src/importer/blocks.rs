//! Sorted records as blocks of bytes.
//!
//! A block of up to [`BLOCK`] records, all numbers little-endian:
//!
//! | bytes | field |
//! | --- | --- |
//! | 4 | checksum: low half of xxh3-64 of what follows |
//! | 2 | records |
//! | 1 | low bits of a step |
//! | 8 | the first key |
//! | the rest | records, one after another, as bits, lowest first |
//!
//! | bits of a record | field |
//! | --- | --- |
//! | 1 or more | ones and a zero: none if the position is that before, else what the step has above its low bits and 1 |
//! | its low bits, if there is one | the step, from the key before to this |
//! | 12, 13, 12 | result, group with band and pace, squares of the move, as in the record |
//! | 2, 2, 1 | forms of the opening name and of the time spent, and whether the last field is there |
//! | 0, 6, 11 or 20 | opening name |
//! | 0, 3, 6 or 25 | time spent: none, whole seconds and 1, or as in the record |
//! | 0 or 14 | evaluation and promotion, as in the record |
//!
//! Keys are hashes, of which sorting takes no more than the bits that a Rice code leaves out. Names
//! that come often have small numbers, since numbers are given as names come.

use xxhash_rust::xxh3::xxh3_64;

use crate::counts::Record;
use crate::store::codec::{BitReader, BitWriter};

/// Records of a block.
pub(super) const BLOCK: usize = 8192;

const SUM_BYTES: usize = 4;
/// The most low bits of a step, which are read at a time.
const MOST_LOW: u32 = 56;
/// The largest number of ones: twice as many as records, by the choice of low bits.
const MOST_ONES: u64 = 2 * BLOCK as u64;
/// Bits of each form of a name and of a time; the first form is for none.
const NAME_BITS: [u32; 4] = [0, 6, 11, 20];
const TIME_BITS: [u32; 4] = [0, 3, 6, 25];
/// Result, movers and squares.
const FIXED_BITS: u32 = 37;
const FORMS_BITS: u32 = 5;
const RARE_BITS: u32 = 14;

/// Appends a block of at most [`BLOCK`] sorted records.
pub(super) fn encode(block: &[Record], out: &mut Vec<u8>) {
    let [first, last] = [block.first(), block.last()].map(|it| it.map_or(0, |it| it.key().0));
    let steps = block.windows(2).filter(|pair| pair[0].key() != pair[1].key()).count() as u64;
    let low = ((last - first) / steps.max(1)).max(1).ilog2().min(MOST_LOW);
    let start = out.len();
    out.extend_from_slice(&[0; SUM_BYTES]);
    out.extend_from_slice(&(block.len() as u16).to_le_bytes());
    out.push(low as u8);
    out.extend_from_slice(&first.to_le_bytes());
    let (mut bits, mut before) = (BitWriter::new(out), first);
    for record in block {
        let (key, head, tail) = record.words();
        let step = key - before;
        let (ones, low) = if step == 0 { (0, 0) } else { ((step >> low) + 1, low) };
        let length = ones + 1 + u64::from(low);
        let rest = step & ((1 << low) - 1);
        if length <= 56 {
            bits.put(((1 << ones) - 1) | rest << (ones + 1), length as u32);
        } else {
            bits.ones(ones);
            bits.put(rest, low);
        }
        before = key;
        put_row(head, tail, &mut bits);
    }
    bits.finish();
    let sum = xxh3_64(&out[start + SUM_BYTES..]) as u32;
    out[start..start + SUM_BYTES].copy_from_slice(&sum.to_le_bytes());
}

/// Appends what a record holds besides its key.
fn put_row(head: u64, tail: u32, bits: &mut BitWriter<'_>) {
    let (name, result) = (u64::from(tail) & 0xfffff, u64::from(tail >> 20));
    let (squares, who) = (head >> 52, head >> 36 & 0x1fff);
    let rare = head >> 25 & 0x7ff | (head >> 49 & 7) << 11;
    let name_form = form(name, &NAME_BITS);
    let (time_form, time) = time(head & 0x1ff_ffff);
    let forms = name_form as u64 | (time_form as u64) << 2 | u64::from(rare > 0) << 4;
    let fixed = result | who << 12 | squares << 25 | forms << FIXED_BITS;
    let (name_bits, time_bits) = (NAME_BITS[name_form], TIME_BITS[time_form]);
    let more = name | time << name_bits;
    bits.put(fixed, FIXED_BITS + FORMS_BITS);
    bits.put(more, name_bits + time_bits);
    if rare > 0 {
        bits.put(rare, RARE_BITS);
    }
}

/// The first form that has room for a number.
fn form(number: u64, bits: &[u32; 4]) -> usize {
    bits[..bits.len() - 1].iter().filter(|&&bits| number >> bits != 0).count()
}

/// The form of a time spent, and what is written of it.
fn time(time: u64) -> (usize, u64) {
    let seconds = time / 10 + 1;
    match time {
        0 => (0, 0),
        _ if time % 10 == 1 && seconds >> TIME_BITS[2] == 0 => (form(seconds, &TIME_BITS), seconds),
        _ => (TIME_BITS.len() - 1, time),
    }
}

/// Replaces `block` by the records of these bytes; `None` if they are not those that were written.
pub(super) fn decode(bytes: &[u8], block: &mut Vec<Record>) -> Option<()> {
    let (sum, mut rest) = bytes.split_first_chunk()?;
    if u32::from_le_bytes(*sum) != xxh3_64(rest) as u32 {
        return None;
    }
    let records = u16::from_le_bytes(*take(&mut rest)?);
    let [low] = take(&mut rest)?.map(u32::from);
    let mut key = u64::from_le_bytes(*take(&mut rest)?);
    if low > MOST_LOW {
        return None;
    }
    block.clear();
    let mut bits = BitReader::new(rest);
    for _ in 0..records {
        let ones = bits.ones(MOST_ONES)?;
        if ones > 0 {
            key = key.wrapping_add((ones - 1) << low | bits.take(low)?);
        }
        let (head, tail) = take_row(&mut bits)?;
        block.push(Record::from_words(key, head, tail));
    }
    bits.is_at_end().then_some(())
}

/// The words of a record behind its key.
fn take_row(bits: &mut BitReader<'_>) -> Option<(u64, u32)> {
    let row = bits.take(FIXED_BITS + FORMS_BITS)?;
    let (result, who, squares) = (row & 0xfff, row >> 12 & 0x1fff, row >> 25 & 0xfff);
    let forms = row >> FIXED_BITS;
    let (name_form, time_form) = (forms as usize & 3, forms as usize >> 2 & 3);
    let (name_bits, time_bits) = (NAME_BITS[name_form], TIME_BITS[time_form]);
    let more = bits.take(name_bits + time_bits)?;
    let (name, time) = (more & ((1 << name_bits) - 1), more >> name_bits);
    let time = match time_form {
        1 | 2 => time.checked_sub(1)? * 10 + 1,
        _ => time,
    };
    let rare = if forms >> 4 > 0 { bits.take(RARE_BITS)? } else { 0 };
    let head = squares << 52 | (rare >> 11) << 49 | who << 36 | (rare & 0x7ff) << 25 | time;
    Some((head, (result << 20 | name) as u32))
}

fn take<'b, const N: usize>(rest: &mut &'b [u8]) -> Option<&'b [u8; N]> {
    let (bytes, behind) = rest.split_first_chunk()?;
    *rest = behind;
    Some(bytes)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn records(words: &[(u64, u64, u32)]) -> Vec<Record> {
        words.iter().map(|&(key, head, tail)| Record::from_words(key, head, tail)).collect()
    }

    fn encoded(block: &[Record]) -> Vec<u8> {
        let mut bytes = Vec::new();
        encode(block, &mut bytes);
        bytes
    }

    fn decoded(bytes: &[u8]) -> Option<Vec<Record>> {
        let mut block = Vec::new();
        decode(bytes, &mut block)?;
        Some(block)
    }

    proptest! {
        #[test]
        fn a_block_comes_back(mut words in prop::collection::vec((0u64.., any::<u64>(), any::<u32>()), 0..BLOCK), few in any::<bool>()) {
            if few {
                // Few positions, names with small numbers, and times, evaluations and promotions
                // in some only.
                words.iter_mut().for_each(|word| {
                    let rare = [0, 7 << 49, 0x7ff << 25, 0x1ff_ffff, 0x3ff][word.2 as usize % 5];
                    let kept = (u64::MAX >> 52 << 52) | 0x1fff << 36 | rare;
                    let name = word.2 & 0xfffff >> (word.2 % 21);
                    *word = (word.0 % 7, word.1 & kept, word.2 >> 20 << 20 | name);
                });
            }
            words.sort_unstable();
            let block = records(&words);
            let bytes = encoded(&block);
            prop_assert_eq!(decoded(&bytes), Some(block));
        }
    }

    #[test]
    fn a_changed_byte_is_noticed() {
        let words: Vec<(u64, u64, u32)> = (0..300u64)
            .map(|n| ((n << 40) + n * 77, ((n % 5) << 50) + n % 9, n as u32 % 3))
            .collect();
        let bytes = encoded(&records(&words));
        for place in 0..bytes.len() {
            let mut changed = bytes.clone();
            changed[place] ^= 0x10;
            assert!(decoded(&changed).is_none(), "byte {place}");
        }
    }

    #[test]
    fn what_is_rare_takes_room_only_where_it_occurs() {
        let row = |n: u64, low: u64, name: u32| (n << 41, (n % 20) << 52 | low, name);
        let block = |low, name| {
            let words: Vec<_> = (0..BLOCK as u64)
                .map(|n| if n == 77 { row(n, low, name) } else { row(n, 101, 2047) })
                .collect();
            encoded(&records(&words)).len() as u64 * 8
        };
        let usual = block(101, 2047);
        // A step of 41 bits with two ones and a zero, what is fixed, a name and a time.
        assert_eq!(usual / BLOCK as u64, 41 + 3 + 42 + 11 + 6);
        let (eval, promotion) = (1001 << 25, 3 << 49);
        for (low, name, more) in [
            (611, 0, -11),
            (61, 2047, -3),
            (0, 2047, -6),
            (101, 63, -5),
            (101, 2048, 9),
            (102, 2047, 19),
            (631, 2047, 19),
            (101 | eval, 2047, 14),
            (101 | promotion, 2047, 14),
        ] {
            let found = block(low, name) as i64 - usual as i64;
            assert!((found - more).abs() < 8, "{low} {name}: {found}");
        }
    }
}
