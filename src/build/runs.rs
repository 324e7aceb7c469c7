//! Sorted runs of records on disk.
//!
//! A worker that has no room for more records sorts each of its partitions and appends them to its
//! file: that is one run, 256 segments of blocks. A block holds up to [`BLOCK`] records:
//!
//! | bytes | field |
//! | --- | --- |
//! | 4, little-endian | length of the rest |
//! | 4, little-endian | records |
//! | varint a record | key less the key before it (the first: itself) |
//! | 5 a record, little-endian | move, band, pace, outcome, expected thousandths (top 35 bits of the head) |
//! | varint a record | clock and evaluation flag (low 29 bits of the head) |
//! | varint a record | evaluation and opening name (the tail) |
//!
//! Keys are hashes and hardly shrink; the other fields take about 8 of their 12 bytes.

use std::fs::{File, OpenOptions};
use std::io::{Read, Seek, SeekFrom, Write};
use std::path::PathBuf;

use super::partitions::{PARTITIONS, Partitions};
use super::sort::sort_into;
use super::workspace::failed;
use super::{BuildError, Stop, Workspace};
use crate::counts::Record;

/// Records of a block.
const BLOCK: usize = 2048;
/// Width of the bits that are written as they are.
const PLAIN_BYTES: usize = 5;
const LOW_BITS: u32 = 29;
/// The most that a record can take.
const MOST_BYTES: usize = 10 + PLAIN_BYTES + 5 + 5;

/// Writes the runs of one worker to one file.
pub(super) struct RunWriter<'w> {
    path: PathBuf,
    file: Option<File>,
    end: u64,
    runs: Vec<Run>,
    sorted: Vec<Record>,
    buffer: Vec<u8>,
    stop: &'w Stop,
}

/// One run: a segment a partition.
#[derive(Clone, Debug)]
pub(super) struct Run {
    path: PathBuf,
    segments: Vec<Segment>,
}

#[derive(Clone, Copy, Debug, Default)]
struct Segment {
    offset: u64,
    bytes: u64,
    records: u64,
}

impl<'w> RunWriter<'w> {
    /// A writer that makes its file with the first run.
    pub(super) fn new(workspace: &Workspace, worker: usize, stop: &'w Stop) -> RunWriter<'w> {
        RunWriter {
            path: workspace.run(worker),
            file: None,
            end: 0,
            runs: Vec::new(),
            sorted: Vec::new(),
            buffer: Vec::new(),
            stop,
        }
    }

    /// Whether any run was written.
    pub(super) fn has_runs(&self) -> bool {
        !self.runs.is_empty()
    }

    /// All runs.
    pub(super) fn into_runs(self) -> Vec<Run> {
        self.runs
    }

    /// Sorts all partitions and writes them as one run.
    pub(super) fn write(&mut self, partitions: &Partitions) -> Result<(), BuildError> {
        if self.file.is_none() {
            let mut options = OpenOptions::new();
            let file = options.write(true).create(true).truncate(true).open(&self.path);
            self.file = Some(file.map_err(failed("create", &self.path))?);
        }
        let mut segments = Vec::with_capacity(PARTITIONS);
        for partition in 0..PARTITIONS {
            self.stop.check()?;
            sort_into(partitions.chunks(partition), super::partitions::KEY_BITS, &mut self.sorted);
            let offset = self.end;
            self.buffer.clear();
            for block in self.sorted.chunks(BLOCK) {
                encode(block, &mut self.buffer);
            }
            let file = self.file.as_mut().expect("it was made above");
            file.write_all(&self.buffer).map_err(failed("write", &self.path))?;
            self.end += self.buffer.len() as u64;
            let (bytes, records) = (self.buffer.len() as u64, self.sorted.len() as u64);
            segments.push(Segment { offset, bytes, records });
        }
        self.runs.push(Run { path: self.path.clone(), segments });
        Ok(())
    }
}

impl Run {
    /// How many records a partition has.
    pub(super) fn records(&self, partition: usize) -> u64 {
        self.segments[partition].records
    }

    /// Opens one partition for reading in order.
    pub(super) fn open(&self, partition: usize) -> Result<SegmentReader, BuildError> {
        let file = File::open(&self.path).map_err(failed("open", &self.path))?;
        let Segment { offset, bytes, .. } = self.segments[partition];
        Ok(SegmentReader {
            path: self.path.clone(),
            file,
            offset,
            end: offset + bytes,
            block: Vec::new(),
            taken: 0,
            buffer: Vec::new(),
        })
    }
}

/// Reads the records of one partition of a run in order.
pub(super) struct SegmentReader {
    path: PathBuf,
    file: File,
    offset: u64,
    end: u64,
    block: Vec<Record>,
    taken: usize,
    buffer: Vec<u8>,
}

impl SegmentReader {
    /// Appends all records with keys up to `last` that are still there, but stops at `most` new ones;
    /// whether it stopped for that.
    pub(super) fn take_up_to(
        &mut self,
        last: u64,
        most: usize,
        out: &mut Vec<Record>,
    ) -> Result<bool, BuildError> {
        let mut room = most;
        loop {
            let rest = &self.block[self.taken..];
            let count = rest.partition_point(|record| record.key().0 <= last).min(room);
            out.extend_from_slice(&rest[..count]);
            self.taken += count;
            room -= count;
            if room == 0 {
                return Ok(true);
            }
            if self.taken < self.block.len() || !self.next_block()? {
                return Ok(false);
            }
        }
    }

    fn next_block(&mut self) -> Result<bool, BuildError> {
        if self.offset == self.end {
            return Ok(false);
        }
        let mut read = || {
            let mut head = [0; 8];
            self.file.seek(SeekFrom::Start(self.offset))?;
            self.file.read_exact(&mut head)?;
            let (bytes, records) = (word(&head[..4]), word(&head[4..]));
            self.buffer.resize(bytes, 0);
            self.file.read_exact(&mut self.buffer)?;
            self.offset += (head.len() + bytes) as u64;
            decode(&self.buffer, records, &mut self.block).ok_or_else(|| {
                std::io::Error::new(std::io::ErrorKind::InvalidData, "the file was changed")
            })
        };
        read().map_err(failed("read back", &self.path))?;
        self.taken = 0;
        Ok(true)
    }
}

fn word(bytes: &[u8]) -> usize {
    u32::from_le_bytes(bytes.try_into().expect("four bytes")) as usize
}

fn encode(block: &[Record], out: &mut Vec<u8>) {
    let start = out.len();
    out.resize(start + 8 + block.len() * MOST_BYTES, 0);
    let mut at = start + 8;
    let mut before = 0;
    for record in block {
        let (key, head, tail) = record.words();
        at = put_varint(out, at, key - before);
        out[at..at + PLAIN_BYTES].copy_from_slice(&(head >> LOW_BITS).to_le_bytes()[..PLAIN_BYTES]);
        at = put_varint(out, at + PLAIN_BYTES, head & ((1 << LOW_BITS) - 1));
        at = put_varint(out, at, u64::from(tail));
        before = key;
    }
    out.truncate(at);
    let bytes = (at - start - 8) as u32;
    out[start..start + 4].copy_from_slice(&bytes.to_le_bytes());
    out[start + 4..start + 8].copy_from_slice(&(block.len() as u32).to_le_bytes());
}

fn decode(bytes: &[u8], records: usize, block: &mut Vec<Record>) -> Option<()> {
    block.clear();
    block.reserve(records);
    let mut rest = bytes;
    let mut key = 0u64;
    for _ in 0..records {
        key = key.wrapping_add(take_varint(&mut rest)?);
        let (plain, behind) = rest.split_at_checked(PLAIN_BYTES)?;
        let mut high = [0; 8];
        high[..PLAIN_BYTES].copy_from_slice(plain);
        rest = behind;
        let head = u64::from_le_bytes(high) << LOW_BITS | take_varint(&mut rest)?;
        block.push(Record::from_words(key, head, take_varint(&mut rest)? as u32));
    }
    rest.is_empty().then_some(())
}

fn put_varint(out: &mut [u8], mut at: usize, mut value: u64) -> usize {
    while value >= 0x80 {
        out[at] = value as u8 | 0x80;
        value >>= 7;
        at += 1;
    }
    out[at] = value as u8;
    at + 1
}

fn take_varint(rest: &mut &[u8]) -> Option<u64> {
    let mut value = 0;
    for (place, &byte) in rest.iter().enumerate().take(10) {
        value |= u64::from(byte & 0x7f) << (7 * place);
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

    proptest! {
        #[test]
        fn a_block_comes_back(mut words in prop::collection::vec(any::<(u64, u64, u32)>(), 0..200)) {
            words.sort();
            let block: Vec<Record> = words.iter().map(|&(key, head, tail)| Record::from_words(key, head, tail)).collect();
            let mut bytes = Vec::new();
            encode(&block, &mut bytes);
            let mut back = Vec::new();
            prop_assert_eq!(word(&bytes[..4]), bytes.len() - 8);
            prop_assert!(decode(&bytes[8..], word(&bytes[4..8]), &mut back).is_some());
            prop_assert_eq!(back, block);
        }
    }
}
