//! Sorted runs of records on disk.
//!
//! A worker that has no room for more records sorts each of its partitions and writes them to a
//! file of its own: that is one run, 256 segments of blocks as in [`super::blocks`]. Positions with
//! very many records stay in memory, added up.

use std::fs::{self, File};
use std::io::{self, Read, Seek, SeekFrom, Write};
use std::ops::Range;
use std::path::PathBuf;
use std::sync::{Arc, Mutex, PoisonError};

use super::blocks::{BLOCK, decode, encode};
use super::hot::HotSums;
use super::partitions::{KEY_BITS, PARTITIONS, Partitions};
use super::sort::sort_into;
use super::{BuildError, Stop};
use crate::counts::Record;
use crate::files::{Workspace, failed};
use crate::terms::Key;

/// Bytes collected before they are written.
const BUFFER: usize = 1 << 18;

/// Memory that one open segment takes: its decoded block.
pub(super) const SEGMENT_BYTES: usize = BLOCK * Record::BYTES + 4096;

/// Writes the runs of one worker.
pub(super) struct RunWriter<'w> {
    workspace: &'w Workspace,
    worker: usize,
    runs: Vec<Run>,
    hot: HotSums,
    sorted: Vec<Record>,
    stop: &'w Stop,
}

/// One run: a segment a partition. Its file goes with it.
#[derive(Clone, Debug)]
pub(super) struct Run(Arc<RunFile>);

#[derive(Debug)]
struct RunFile {
    path: PathBuf,
    segments: Vec<Segment>,
    /// Bytes of each block.
    blocks: Vec<u32>,
    bytes: u64,
    /// Opened when first read from; all threads share it.
    file: Mutex<Option<File>>,
}

#[derive(Clone, Debug, Default)]
struct Segment {
    offset: u64,
    /// Which blocks of the run.
    blocks: Range<usize>,
    records: u64,
}

impl Drop for RunFile {
    fn drop(&mut self) {
        // What cannot be removed now goes with the workspace.
        let _ = fs::remove_file(&self.path);
    }
}

impl<'w> RunWriter<'w> {
    /// A writer that makes its first file with the first run, and keeps hot sums of about
    /// `hot_bytes` in memory.
    pub(super) fn new(
        workspace: &'w Workspace,
        worker: usize,
        hot_bytes: usize,
        stop: &'w Stop,
    ) -> RunWriter<'w> {
        let (runs, hot, sorted) = (Vec::new(), HotSums::new(hot_bytes), Vec::new());
        RunWriter { workspace, worker, runs, hot, sorted, stop }
    }

    /// All runs, and what was added up on the way to them.
    pub(super) fn into_runs(self) -> (Vec<Run>, HotSums) {
        (self.runs, self.hot)
    }

    /// Sorts all partitions and writes them as one run.
    pub(super) fn write(&mut self, partitions: &Partitions) -> Result<(), BuildError> {
        let name = format!("{}-{}", self.worker, self.runs.len());
        let mut run = NewRun::create(self.workspace.run(&name))?;
        for partition in 0..PARTITIONS {
            self.stop.check()?;
            sort_into(partitions.chunks(partition), KEY_BITS, &mut self.sorted);
            self.hot.take_from(&mut self.sorted);
            self.sorted.chunks(BLOCK).try_for_each(|block| run.push(block))?;
            run.end_segment();
        }
        self.runs.push(run.finish()?);
        Ok(())
    }
}

/// A run being written, one segment after another.
pub(super) struct NewRun {
    path: PathBuf,
    file: File,
    buffer: Vec<u8>,
    written: u64,
    segment: Segment,
    segments: Vec<Segment>,
    blocks: Vec<u32>,
}

impl NewRun {
    /// An empty run in a new file.
    pub(super) fn create(path: PathBuf) -> Result<NewRun, BuildError> {
        let file = File::create_new(&path).map_err(failed("create", &path))?;
        Ok(NewRun {
            path,
            file,
            buffer: Vec::with_capacity(BUFFER),
            written: 0,
            segment: Segment::default(),
            segments: Vec::with_capacity(PARTITIONS),
            blocks: Vec::new(),
        })
    }

    /// Appends at most [`BLOCK`] records, sorted and behind all others of the segment.
    pub(super) fn push(&mut self, block: &[Record]) -> Result<(), BuildError> {
        let before = self.buffer.len();
        encode(block, &mut self.buffer);
        self.blocks.push((self.buffer.len() - before) as u32);
        self.segment.records += block.len() as u64;
        if self.buffer.len() >= BUFFER { self.flush() } else { Ok(()) }
    }

    /// Ends the segment of one partition.
    pub(super) fn end_segment(&mut self) {
        let offset = self.written + self.buffer.len() as u64;
        let end = self.blocks.len();
        self.segment.blocks.end = end;
        let next = Segment { offset, blocks: end..end, records: 0 };
        self.segments.push(std::mem::replace(&mut self.segment, next));
    }

    fn flush(&mut self) -> Result<(), BuildError> {
        self.file.write_all(&self.buffer).map_err(failed("write", &self.path))?;
        self.written += self.buffer.len() as u64;
        self.buffer.clear();
        Ok(())
    }

    /// The finished run, once all segments have ended.
    pub(super) fn finish(mut self) -> Result<Run, BuildError> {
        self.flush()?;
        let NewRun { path, written: bytes, segments, blocks, .. } = self;
        Ok(Run(Arc::new(RunFile { path, segments, blocks, bytes, file: Mutex::new(None) })))
    }
}

impl Run {
    /// How many records a partition has.
    pub(super) fn records(&self, partition: usize) -> u64 {
        self.0.segments[partition].records
    }

    /// Its size on disk.
    pub(super) fn bytes(&self) -> u64 {
        self.0.bytes
    }

    /// Opens one partition for reading in order.
    pub(super) fn open(&self, partition: usize) -> SegmentReader {
        let Segment { offset, blocks, .. } = self.0.segments[partition].clone();
        SegmentReader { run: self.clone(), offset, blocks, block: Vec::new(), taken: 0 }
    }

    fn read(&self, offset: u64, bytes: &mut [u8]) -> io::Result<()> {
        let mut file = self.0.file.lock().unwrap_or_else(PoisonError::into_inner);
        let file = match &mut *file {
            Some(file) => file,
            closed => closed.insert(File::open(&self.0.path)?),
        };
        file.seek(SeekFrom::Start(offset))?;
        file.read_exact(bytes)
    }
}

/// Reads the records of one partition of a run in order.
pub(super) struct SegmentReader {
    run: Run,
    offset: u64,
    /// Those not yet read.
    blocks: Range<usize>,
    block: Vec<Record>,
    taken: usize,
}

impl SegmentReader {
    /// Appends all records with keys up to `last` that are still there, but stops at `most` new
    /// ones; whether it stopped for that.
    pub(super) fn take_up_to(
        &mut self,
        last: Key,
        most: usize,
        scratch: &mut Vec<u8>,
        out: &mut Vec<Record>,
    ) -> Result<bool, BuildError> {
        let mut room = most;
        loop {
            let rest = &self.block[self.taken..];
            let count = rest.partition_point(|record| record.key() <= last).min(room);
            out.extend_from_slice(&rest[..count]);
            self.taken += count;
            room -= count;
            if room == 0 {
                return Ok(true);
            }
            if self.taken < self.block.len() || !self.next_block(scratch)? {
                return Ok(false);
            }
        }
    }

    /// The next record, which stays.
    pub(super) fn peek(&mut self, scratch: &mut Vec<u8>) -> Result<Option<Record>, BuildError> {
        if self.taken == self.block.len() && !self.next_block(scratch)? {
            return Ok(None);
        }
        Ok(Some(self.block[self.taken]))
    }

    /// Steps over the record that [`SegmentReader::peek`] gave.
    pub(super) fn step(&mut self) {
        self.taken += 1;
    }

    fn next_block(&mut self, scratch: &mut Vec<u8>) -> Result<bool, BuildError> {
        let Some(number) = self.blocks.next() else { return Ok(false) };
        let mut read = || {
            scratch.resize(self.run.0.blocks[number] as usize, 0);
            self.run.read(self.offset, scratch)?;
            self.offset += scratch.len() as u64;
            let changed = || io::Error::new(io::ErrorKind::InvalidData, "the file was changed");
            decode(scratch, &mut self.block).ok_or_else(changed)
        };
        read().map_err(failed("read back", &self.run.0.path))?;
        self.taken = 0;
        Ok(true)
    }
}
