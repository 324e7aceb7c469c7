//! Sorted records as compressed columns, which take half the room of rows.
//!
//! A block of up to [`BLOCK`] records:
//!
//! | bytes | field |
//! | --- | --- |
//! | 4, little-endian | length of all that follows |
//! | 4, little-endian | checksum: low half of xxh3-64 of what follows it |
//! | 2, little-endian | records |
//! | 2, little-endian | positions among them |
//! | 5 a position | low bytes of the key less the key before it, the first less 0 |
//! | then the packed columns: | |
//! | 1 a position, three times | the three high bytes of the same |
//! | varint a position | its records |
//! | 1 a record, six times | the two bytes of the move, band and pace, the top two of the bits behind (outcome and expected), their low 8, the low byte of the opening name |
//! | varint a record, three times | clock and evaluation flag, the rest of the opening name, evaluation |
//!
//! A packed column: 4 bytes little-endian, its length shifted left by one, the lowest bit set if it
//! is one zstd frame of that length rather than the bytes themselves. Keys are hashes: their low
//! bytes do not shrink and are left alone. Where most records carry a clock, so are the six bytes a
//! record and the clocks themselves, which shrink little; all the rest is compressed.

use xxhash_rust::xxh3::xxh3_64;

use crate::counts::Record;

/// Records of a block.
pub(super) const BLOCK: usize = 8192;
/// Bytes before the part that the length counts.
pub(super) const LENGTH_BYTES: usize = 4;

const RAW_BYTES: usize = 5;
const HIGH_BYTES: usize = 3;
const LOW_BITS: u32 = 29;
const NAME_LOW: u32 = 0xff;
const NAME_BITS: u32 = 20;
/// The most that a column of a block can take: a varint of five bytes a record.
const MOST_COLUMN: usize = 5 * BLOCK;

/// Writes blocks; keeps its memory.
pub(super) struct Encoder {
    compressor: zstd::bulk::Compressor<'static>,
    column: Vec<u8>,
    packed: Vec<u8>,
    positions: Vec<(u64, u32)>,
    /// Whether columns are left as they are.
    plain: bool,
}

impl Encoder {
    /// # Errors
    /// When the system has no memory for it.
    pub(super) fn new() -> std::io::Result<Encoder> {
        let compressor = zstd::bulk::Compressor::new(1)?;
        let packed = Vec::with_capacity(zstd::zstd_safe::compress_bound(MOST_COLUMN));
        Ok(Encoder { compressor, column: Vec::new(), packed, positions: Vec::new(), plain: false })
    }

    /// Appends a block of at most [`BLOCK`] sorted records.
    ///
    /// # Errors
    /// When zstd has no memory.
    pub(super) fn encode(&mut self, block: &[Record], out: &mut Vec<u8>) -> std::io::Result<()> {
        let start = out.len();
        out.extend_from_slice(&[0; LENGTH_BYTES + 4]);
        self.positions.clear();
        let mut before = 0;
        for records in block.chunk_by(|a, b| a.key() == b.key()) {
            let key = records[0].key().0;
            self.positions.push((key - before, records.len() as u32));
            before = key;
        }
        out.extend_from_slice(&(block.len() as u16).to_le_bytes());
        out.extend_from_slice(&(self.positions.len() as u16).to_le_bytes());
        for (delta, _) in &self.positions {
            out.extend_from_slice(&delta.to_le_bytes()[..RAW_BYTES]);
        }
        for byte in 0..HIGH_BYTES {
            let shift = 8 * (RAW_BYTES + byte);
            self.column.extend(self.positions.iter().map(|(delta, _)| (delta >> shift) as u8));
            self.pack(out)?;
        }
        for &(_, records) in &self.positions {
            put_varint(&mut self.column, records);
        }
        self.pack(out)?;
        // With clocks a dump is so large beside its records that the columns which hardly shrink
        // are not worth the time.
        let clocks = block.iter().filter(|record| record.has_clock()).count();
        self.plain = 2 * clocks > block.len();
        for shift in [56, 49, 41, 37, 29] {
            self.column.extend(
                block.iter().map(|record| (record.words().1 >> shift) as u8 & MASKS[shift]),
            );
            self.pack(out)?;
        }
        self.column.extend(block.iter().map(|record| (record.words().2 & NAME_LOW) as u8));
        self.pack(out)?;
        let low = |record: &Record| (record.words().1 & ((1 << LOW_BITS) - 1)) as u32;
        let name = |record: &Record| (record.words().2 & ((1 << NAME_BITS) - 1)) >> 8;
        let eval = |record: &Record| record.words().2 >> NAME_BITS;
        for value in [low, name, eval] {
            for record in block {
                put_varint(&mut self.column, value(record));
            }
            self.pack(out)?;
            self.plain = false;
        }
        let sum = xxh3_64(&out[start + LENGTH_BYTES + 4..]) as u32;
        let length = (out.len() - start - LENGTH_BYTES) as u32;
        out[start..start + LENGTH_BYTES].copy_from_slice(&length.to_le_bytes());
        out[start + LENGTH_BYTES..start + LENGTH_BYTES + 4].copy_from_slice(&sum.to_le_bytes());
        Ok(())
    }

    /// Appends the column, compressed unless left plain or that makes it longer, and empties it.
    fn pack(&mut self, out: &mut Vec<u8>) -> std::io::Result<()> {
        self.packed.clear();
        let smaller = !self.plain && {
            let length = self.compressor.compress_to_buffer(&self.column[..], &mut self.packed)?;
            length < self.column.len()
        };
        let bytes = if smaller { &self.packed } else { &self.column };
        let head = (bytes.len() as u32) << 1 | u32::from(smaller);
        out.extend_from_slice(&head.to_le_bytes());
        out.extend_from_slice(bytes);
        self.column.clear();
        Ok(())
    }
}

/// Reads blocks back; keeps its memory.
pub(super) struct Decoder {
    decompressor: zstd::bulk::Decompressor<'static>,
    column: Vec<u8>,
    deltas: Vec<u64>,
}

impl Decoder {
    /// # Errors
    /// When the system has no memory for it.
    pub(super) fn new() -> std::io::Result<Decoder> {
        let decompressor = zstd::bulk::Decompressor::new()?;
        let column = Vec::with_capacity(MOST_COLUMN);
        Ok(Decoder { decompressor, column, deltas: Vec::new() })
    }

    /// Replaces `block` by the records of what stands behind the length; `None` if these are not
    /// the bytes that were written.
    pub(super) fn decode(&mut self, bytes: &[u8], block: &mut Vec<Record>) -> Option<()> {
        let (sum, mut rest) = bytes.split_first_chunk::<4>()?;
        if u32::from_le_bytes(*sum) != xxh3_64(rest) as u32 {
            return None;
        }
        let records = usize::from(take_u16(&mut rest)?);
        let positions = usize::from(take_u16(&mut rest)?);
        let (raw, behind) = rest.split_at_checked(positions * RAW_BYTES)?;
        rest = behind;
        self.deltas.clear();
        self.deltas.extend(raw.chunks_exact(RAW_BYTES).map(|low| {
            let mut bytes = [0; 8];
            bytes[..RAW_BYTES].copy_from_slice(low);
            u64::from_le_bytes(bytes)
        }));
        for byte in 0..HIGH_BYTES {
            self.unpack(&mut rest)?;
            let shift = 8 * (RAW_BYTES + byte);
            let high = self.column.get(..positions)?;
            self.deltas
                .iter_mut()
                .zip(high)
                .for_each(|(delta, &high)| *delta |= u64::from(high) << shift);
        }
        block.clear();
        self.unpack(&mut rest)?;
        let (mut counts, mut key) = (self.column.as_slice(), 0u64);
        for delta in &self.deltas {
            key = key.wrapping_add(*delta);
            let count = take_varint(&mut counts)? as usize;
            let end = block.len() + count;
            if end > records {
                return None;
            }
            block.resize(end, Record::from_words(key, 0, 0));
        }
        if block.len() != records {
            return None;
        }
        self.fill(&mut rest, block)?;
        rest.is_empty().then_some(())
    }

    /// Reads everything but the keys.
    fn fill(&mut self, rest: &mut &[u8], block: &mut [Record]) -> Option<()> {
        for shift in [56, 49, 41, 37, 29] {
            self.unpack(rest)?;
            let bytes = self.column.get(..block.len())?;
            for (record, &byte) in block.iter_mut().zip(bytes) {
                let (key, head, tail) = record.words();
                *record = Record::from_words(key, head | u64::from(byte) << shift, tail);
            }
        }
        self.unpack(rest)?;
        let names = self.column.get(..block.len())?;
        for (record, &low) in block.iter_mut().zip(names) {
            let (key, head, _) = record.words();
            *record = Record::from_words(key, head, low.into());
        }
        for place in 0..3 {
            self.unpack(rest)?;
            // Most blocks have nothing here.
            if self.column.iter().all(|&byte| byte == 0) {
                continue;
            }
            let mut values = self.column.as_slice();
            for record in block.iter_mut() {
                let value = take_varint(&mut values)?;
                let (key, head, tail) = record.words();
                *record = match place {
                    0 => Record::from_words(key, head | u64::from(value), tail),
                    1 => Record::from_words(key, head, tail | value << 8),
                    _ => Record::from_words(key, head, tail | value << NAME_BITS),
                };
            }
        }
        Some(())
    }

    fn unpack(&mut self, rest: &mut &[u8]) -> Option<()> {
        let (head, behind) = rest.split_first_chunk::<4>()?;
        let head = u32::from_le_bytes(*head);
        let (bytes, behind) = behind.split_at_checked((head >> 1) as usize)?;
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

/// Which bits of the byte at a shift belong to its column; columns must not overlap.
const MASKS: [u8; 57] = {
    let mut masks = [0; 57];
    masks[56] = 0xff;
    masks[49] = 0x7f;
    masks[41] = 0xff;
    masks[37] = 0x0f;
    masks[29] = 0xff;
    masks
};

fn take_u16(rest: &mut &[u8]) -> Option<u16> {
    let (bytes, behind) = rest.split_first_chunk()?;
    *rest = behind;
    Some(u16::from_le_bytes(*bytes))
}

fn put_varint(out: &mut Vec<u8>, mut value: u32) {
    while value >= 0x80 {
        out.push(value as u8 | 0x80);
        value >>= 7;
    }
    out.push(value as u8);
}

fn take_varint(rest: &mut &[u8]) -> Option<u32> {
    let mut value = 0;
    for (place, &byte) in rest.iter().enumerate().take(5) {
        value |= u32::from(byte & 0x7f) << (7 * place);
        if byte < 0x80 {
            *rest = &rest[place + 1..];
            return Some(value);
        }
    }
    None
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
                words.iter_mut().for_each(|word| *word = (word.0 % 7, word.1 >> 29 << 29, word.2 % 300));
            }
            words.sort_unstable();
            let block = records(&words);
            let bytes = encoded(&block);
            prop_assert_eq!(bytes[..4].to_vec(), ((bytes.len() - 4) as u32).to_le_bytes());
            prop_assert_eq!(decoded(&bytes[4..]), Some(block));
        }
    }

    #[test]
    fn a_changed_byte_is_noticed() {
        let words: Vec<(u64, u64, u32)> = (0..300u64)
            .map(|n| ((n << 40) + n * 77, ((n % 5) << 50) + n % 9, n as u32 % 3))
            .collect();
        let bytes = encoded(&records(&words));
        for place in 4..bytes.len() {
            let mut changed = bytes.clone();
            changed[place] ^= 0x10;
            assert!(decoded(&changed[4..]).is_none(), "byte {place}");
        }
    }

    #[test]
    fn columns_are_shorter_than_rows() {
        let words: Vec<(u64, u64, u32)> =
            (0..BLOCK as u64).map(|n| (n << 41, ((n % 20) << 52) + ((n % 100) << 43), 7)).collect();
        let bytes = encoded(&records(&words));
        assert!(bytes.len() < BLOCK * 9, "{} bytes", bytes.len());
    }
}
