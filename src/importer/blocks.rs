//! Sorted records as blocks of bytes.
//!
//! A block of up to [`BLOCK`] records, all numbers little-endian:
//!
//! | bytes | field |
//! | --- | --- |
//! | 4 | checksum: low half of xxh3-64 of what follows |
//! | 2 | records |
//! | 2 | steps: positions among them, less the first |
//! | 1 | width of a step, in bits |
//! | 1 | 0 if rows and wide parts stand as they are, 1 if they are packed |
//! | 8 | the first key |
//! | the width, a position behind the first | step: the key less the key before it; whole bytes in all |
//! | 7 a record | row |
//! | 6 a wide record | wide part |
//!
//! | bits of a row | field |
//! | --- | --- |
//! | 0 to 11 | low bits of the opening name |
//! | 12 to 23 | expected score, outcome, as in the record |
//! | 24 to 36 | group, band and pace, as in the record |
//! | 37 to 48 | squares of the move |
//! | 49 | whether a step leads to the record |
//! | 50 to 55 | 0 for no clock, else whole seconds spent and 1; all ones if the record is wide |
//!
//! Wide is what does not fit: a time spent of a minute and more or with tenths, an evaluation, a promotion, an
//! opening name with a high number. The wide part holds clock and evaluation in full (36 bits), then the promotion (3) and
//! the rest of the name (8).
//!
//! Keys are hashes and do not shrink. Nor do rows much where most records carry a clock, and beside a
//! dump with clocks they are small: they stand as they are. Without clocks they are packed: the first
//! bytes of all rows, then the second ones, to the seventh, then the wide parts, each column as 4 bytes
//! with its length shifted left by one, the lowest bit set if it is one zstd frame of that length
//! rather than the bytes themselves.

use xxhash_rust::xxh3::xxh3_64;

use crate::counts::Record;

/// Records of a block.
pub(super) const BLOCK: usize = 8192;

const SUM_BYTES: usize = 4;
const ROW_BYTES: usize = 7;
const WIDE_BYTES: usize = 6;
const STEP: u64 = 1 << 49;
const CLOCK_SHIFT: u32 = 50;
const CLOCK_BITS: u32 = 6;
const WIDE: u64 = (1 << CLOCK_BITS) - 1;
/// Bytes looked at for a step, which begins in the first.
const STEP_BYTES: usize = size_of::<u128>();
/// The most that a column of a block can take: all records wide.
const MOST_COLUMN: usize = ROW_BYTES * BLOCK;

/// Writes blocks; keeps its memory.
pub(super) struct Encoder {
    compressor: zstd::bulk::Compressor<'static>,
    column: Vec<u8>,
    packed: Vec<u8>,
    steps: Vec<u64>,
    rows: Vec<u64>,
    wide: Vec<u8>,
}

impl Encoder {
    /// # Errors
    /// When the system has no memory for it.
    pub(super) fn new() -> std::io::Result<Encoder> {
        Ok(Encoder {
            compressor: zstd::bulk::Compressor::new(1)?,
            column: Vec::new(),
            packed: Vec::with_capacity(zstd::zstd_safe::compress_bound(MOST_COLUMN)),
            steps: Vec::with_capacity(BLOCK),
            rows: Vec::with_capacity(BLOCK),
            wide: Vec::new(),
        })
    }

    /// Appends a block of at most [`BLOCK`] sorted records.
    ///
    /// # Errors
    /// When zstd has no memory.
    pub(super) fn encode(&mut self, block: &[Record], out: &mut Vec<u8>) -> std::io::Result<()> {
        let clocks = self.split(block);
        let widest = self.steps.iter().fold(0, |bits, step| bits | step);
        let width = u64::BITS - (widest | 1).leading_zeros();
        let pack = 2 * clocks < block.len();
        let start = out.len();
        out.extend_from_slice(&[0; SUM_BYTES]);
        out.extend_from_slice(&(block.len() as u16).to_le_bytes());
        out.extend_from_slice(&(self.steps.len() as u16).to_le_bytes());
        out.extend_from_slice(&[width as u8, pack.into()]);
        out.extend_from_slice(&block.first().map_or(0, |record| record.key().0).to_le_bytes());
        put_bits(&self.steps, width, out);
        if pack {
            for byte in 0..ROW_BYTES {
                self.column.clear();
                self.column.extend(self.rows.iter().map(|row| row.to_le_bytes()[byte]));
                put_packed(&self.column, &mut self.compressor, &mut self.packed, out)?;
            }
            put_packed(&self.wide, &mut self.compressor, &mut self.packed, out)?;
        } else {
            for row in &self.rows {
                // Always eight bytes, of which the last is taken back: no call for a few bytes.
                out.extend_from_slice(&row.to_le_bytes());
                out.truncate(out.len() - (size_of::<u64>() - ROW_BYTES));
            }
            out.extend_from_slice(&self.wide);
        }
        let sum = xxh3_64(&out[start + SUM_BYTES..]) as u32;
        out[start..start + SUM_BYTES].copy_from_slice(&sum.to_le_bytes());
        Ok(())
    }

    /// Splits records into steps, rows and wide parts; how many carry a clock.
    fn split(&mut self, block: &[Record]) -> usize {
        self.steps.clear();
        self.rows.clear();
        self.wide.clear();
        let (mut before, mut clocks) = (None, 0);
        for record in block {
            let (key, head, tail) = record.words();
            let (mut row, wide) = split(head, tail);
            if before != Some(key) {
                row |= if before.is_some() { STEP } else { 0 };
                self.steps.extend(before.map(|before| key - before));
                before = Some(key);
            }
            let seconds = seconds(wide);
            row |= seconds << CLOCK_SHIFT;
            if seconds == WIDE {
                self.wide.extend_from_slice(&wide.to_le_bytes()[..WIDE_BYTES]);
            }
            self.rows.push(row);
            clocks += usize::from(record.has_clock());
        }
        clocks
    }
}

/// A wide part as it stands in a row: if it is nothing but a clock of few whole seconds.
fn seconds(wide: u64) -> u64 {
    match wide {
        0 => 0,
        tenths if tenths % 10 == 1 && tenths / 10 + 1 < WIDE => tenths / 10 + 1,
        _ => WIDE,
    }
}

/// The wide part that stands in a row so.
fn of_seconds(seconds: u64) -> u64 {
    if seconds == 0 { 0 } else { (seconds - 1) * 10 + 1 }
}

/// Appends numbers of `width` bits each, the first in the lowest bits.
fn put_bits(numbers: &[u64], width: u32, out: &mut Vec<u8>) {
    let (mut waiting, mut bits) = (0u128, 0);
    for number in numbers {
        waiting |= u128::from(*number) << bits;
        bits += width;
        if bits >= u64::BITS {
            out.extend_from_slice(&(waiting as u64).to_le_bytes());
            (waiting, bits) = (waiting >> u64::BITS, bits - u64::BITS);
        }
    }
    out.extend_from_slice(&waiting.to_le_bytes()[..bits.div_ceil(8) as usize]);
}

/// The row of a record but for step and clock, and its wide part.
fn split(head: u64, tail: u32) -> (u64, u64) {
    let (name, result) = (u64::from(tail & 0xfffff), u64::from(tail >> 20));
    let (squares, promotion) = (head >> 52, head >> 49 & 7);
    let (who, clock_and_eval) = (head >> 36 & 0x1fff, head & ((1 << 36) - 1));
    let row = name & 0xfff | result << 12 | who << 24 | squares << 37;
    (row, clock_and_eval | promotion << 36 | (name >> 12) << 39)
}

/// The words of a record behind its key, from its row and its wide part.
fn unsplit(row: u64, wide: u64) -> (u64, u32) {
    let (name, result) = (row & 0xfff | wide >> 39 << 12, row >> 12 & 0xfff);
    let (who, squares) = (row >> 24 & 0x1fff, row >> 37 & 0xfff);
    let (promotion, clock_and_eval) = (wide >> 36 & 7, wide & ((1 << 36) - 1));
    let head = squares << 52 | promotion << 49 | who << 36 | clock_and_eval;
    (head, (result << 20 | name) as u32)
}

/// Appends the column, compressed unless that makes it longer.
fn put_packed(
    column: &[u8],
    compressor: &mut zstd::bulk::Compressor<'_>,
    packed: &mut Vec<u8>,
    out: &mut Vec<u8>,
) -> std::io::Result<()> {
    packed.clear();
    let length = compressor.compress_to_buffer(column, packed)?;
    let smaller = length < column.len();
    let bytes = if smaller { packed } else { column };
    let head = (bytes.len() as u32) << 1 | u32::from(smaller);
    out.extend_from_slice(&head.to_le_bytes());
    out.extend_from_slice(bytes);
    Ok(())
}

/// Reads blocks back; keeps its memory.
pub(super) struct Decoder {
    decompressor: zstd::bulk::Decompressor<'static>,
    column: Vec<u8>,
    rows: Vec<u8>,
}

impl Decoder {
    /// # Errors
    /// When the system has no memory for it.
    pub(super) fn new() -> std::io::Result<Decoder> {
        let decompressor = zstd::bulk::Decompressor::new()?;
        Ok(Decoder { decompressor, column: Vec::with_capacity(MOST_COLUMN), rows: Vec::new() })
    }

    /// Replaces `block` by the records of these bytes; `None` if they are not those that were written.
    pub(super) fn decode(&mut self, bytes: &[u8], block: &mut Vec<Record>) -> Option<()> {
        let (sum, mut rest) = bytes.split_first_chunk()?;
        if u32::from_le_bytes(*sum) != xxh3_64(rest) as u32 {
            return None;
        }
        let records = usize::from(u16::from_le_bytes(*take(&mut rest)?));
        let steps = usize::from(u16::from_le_bytes(*take(&mut rest)?));
        let [width, pack] = *take(&mut rest)?;
        let key = u64::from_le_bytes(*take(&mut rest)?);
        let width = u32::from(width);
        if !(1..=u64::BITS).contains(&width) {
            return None;
        }
        let (bytes, mut rest) = rest.split_at_checked((steps * width as usize).div_ceil(8))?;
        let steps = Steps { key, bytes, width, taken: 0, left: steps };
        if pack == 0 {
            let (rows, wide) = rest.split_at_checked(records * ROW_BYTES)?;
            return join(steps, rows, wide, block);
        }
        self.rows.clear();
        self.rows.resize(records * ROW_BYTES, 0);
        for byte in 0..ROW_BYTES {
            self.unpack(&mut rest)?;
            let rows = self.rows.iter_mut().skip(byte).step_by(ROW_BYTES);
            rows.zip(self.column.get(..records)?).for_each(|(place, &byte)| *place = byte);
        }
        self.unpack(&mut rest)?;
        join(steps, &self.rows, &self.column, block)?;
        rest.is_empty().then_some(())
    }

    fn unpack(&mut self, rest: &mut &[u8]) -> Option<()> {
        let head = u32::from_le_bytes(*take(rest)?);
        let (bytes, behind) = rest.split_at_checked((head >> 1) as usize)?;
        *rest = behind;
        self.column.clear();
        if head & 1 == 1 {
            self.decompressor.decompress_to_buffer(bytes, &mut self.column).ok()?;
        } else {
            self.column.extend_from_slice(bytes);
        }
        Some(())
    }
}

/// A key and the steps to those behind it.
struct Steps<'b> {
    key: u64,
    bytes: &'b [u8],
    /// Bits of a step.
    width: u32,
    /// Bits of those before.
    taken: usize,
    left: usize,
}

impl Steps<'_> {
    fn next(&mut self) -> Option<()> {
        self.left = self.left.checked_sub(1)?;
        let behind = self.bytes.get(self.taken / 8..)?;
        let bits = match behind.first_chunk::<STEP_BYTES>() {
            // The fast way, everywhere but at the end.
            Some(bytes) => u128::from_le_bytes(*bytes),
            None => behind.iter().rev().fold(0, |high, &byte| high << 8 | u128::from(byte)),
        };
        let step = (bits >> (self.taken % 8)) as u64 & (u64::MAX >> (u64::BITS - self.width));
        self.taken += self.width as usize;
        self.key = self.key.wrapping_add(step);
        Some(())
    }
}

/// Records from their steps, rows and wide parts, all of which must be used up.
fn join(mut steps: Steps<'_>, rows: &[u8], mut wide: &[u8], block: &mut Vec<Record>) -> Option<()> {
    block.clear();
    for row in rows.as_chunks::<ROW_BYTES>().0 {
        let mut bytes = [0; size_of::<u64>()];
        bytes[..ROW_BYTES].copy_from_slice(row);
        let row = u64::from_le_bytes(bytes);
        if row & STEP > 0 {
            steps.next()?;
        }
        let wide = match row >> CLOCK_SHIFT {
            WIDE => {
                bytes[..WIDE_BYTES].copy_from_slice(take::<WIDE_BYTES>(&mut wide)?);
                bytes[WIDE_BYTES..].fill(0);
                u64::from_le_bytes(bytes)
            }
            seconds => of_seconds(seconds),
        };
        let (head, tail) = unsplit(row, wide);
        block.push(Record::from_words(steps.key, head, tail));
    }
    (steps.left == 0 && wide.is_empty()).then_some(())
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
        Encoder::new().expect("memory").encode(block, &mut bytes).expect("memory");
        bytes
    }

    fn decoded(bytes: &[u8]) -> Option<Vec<Record>> {
        let mut block = Vec::new();
        Decoder::new().expect("memory").decode(bytes, &mut block)?;
        Some(block)
    }

    proptest! {
        #[test]
        fn a_block_comes_back(mut words in prop::collection::vec((0u64.., any::<u64>(), any::<u32>()), 0..BLOCK), few in any::<bool>()) {
            if few {
                // No clocks; evaluations and promotions stay, which are wide, but for one in four.
                words.iter_mut().for_each(|word| {
                    let narrow = word.2.is_multiple_of(4);
                    let (promotion, low) = (7 << 49, (1 << 36) - 1);
                    let (head, tail) = match narrow {
                        true => (word.1 & !promotion & !low, word.2 & !(0xff << 12)),
                        false => (word.1 >> 25 << 25, word.2),
                    };
                    *word = (word.0 % 7, head, tail);
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
        let row =
            |n: u64, clock: u32, name: u32| (n << 41, (n % 20) << 52 | u64::from(clock), name);
        let block = |clock, name| {
            let words: Vec<_> = (0..BLOCK as u64)
                .map(|n| if n == 77 { row(n, clock, name) } else { row(n, 101, 4095) })
                .collect();
            encoded(&records(&words)).len()
        };
        let usual = block(101, 4095);
        assert_eq!(usual / BLOCK, 42 / 8 + ROW_BYTES);
        assert_eq!([block(611, 0), block(1, 0), block(0, 4095)], [usual; 3]);
        assert_eq!([block(621, 0), block(102, 0), block(101, 4096)], [usual + WIDE_BYTES; 3]);
    }

    #[test]
    fn without_clocks_blocks_are_packed() {
        let words: Vec<(u64, u64, u32)> = (0..BLOCK as u64)
            .map(|n| ((77 << 56) + (n << 41), ((n % 20) << 52) + ((n % 100) << 36), 7))
            .collect();
        let bytes = encoded(&records(&words));
        assert!(bytes.len() < BLOCK * 9, "{} bytes", bytes.len());
    }
}
