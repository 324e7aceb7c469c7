//! Records waiting to be sorted, apart by the top bits of their keys.

use crate::counts::Record;
use crate::terms::Key;

/// How many partitions there are.
pub(super) const PARTITIONS: usize = 1 << PARTITION_BITS;
/// The top bits of a key that name its partition.
const PARTITION_BITS: u32 = 8;
/// Records a chunk: about 16 KiB.
const CHUNK: usize = (16 << 10) / Record::BYTES;

/// The bits of a key below those.
pub(super) const KEY_BITS: u32 = 64 - PARTITION_BITS;

/// The partition of a key.
pub(super) fn partition_of(key: Key) -> usize {
    (key.0 >> KEY_BITS) as usize
}

/// The first key of a partition.
pub(super) fn first_key(partition: usize) -> Key {
    Key((partition as u64) << KEY_BITS)
}

/// The last key of a partition.
pub(super) fn last_key(partition: usize) -> Key {
    Key(first_key(partition).0 + ((1 << KEY_BITS) - 1))
}

/// Records of one worker: chunks, so that growing never copies and memory is used again.
pub(super) struct Partitions {
    filling: Vec<Vec<Record>>,
    full: Vec<Vec<Vec<Record>>>,
    spare: Vec<Vec<Record>>,
    chunks: usize,
    chunks_allowed: usize,
    /// Whether one partition holds so many of the records that sorting it would take much memory.
    crowded: bool,
}

/// The part of all records that one partition may hold; a sixteenth is much for one of 256.
const CROWD: usize = 16;

impl Partitions {
    /// Empty partitions that may hold about `bytes` of records.
    pub(super) fn new(bytes: usize) -> Partitions {
        Partitions {
            filling: vec![Vec::new(); PARTITIONS],
            full: vec![Vec::new(); PARTITIONS],
            spare: Vec::new(),
            chunks: 0,
            chunks_allowed: Self::chunks_in(bytes),
            crowded: false,
        }
    }

    fn chunks_in(bytes: usize) -> usize {
        (bytes / (CHUNK * Record::BYTES)).max(2 * PARTITIONS)
    }

    /// Lets them hold about so many bytes from now on; memory beyond is let go once they
    /// are cleared.
    pub(super) fn allow(&mut self, bytes: usize) {
        self.chunks_allowed = Self::chunks_in(bytes);
    }

    /// Takes one record.
    pub(super) fn push(&mut self, record: Record) {
        let partition = partition_of(record.key());
        let chunk = &mut self.filling[partition];
        if chunk.len() == chunk.capacity() {
            self.next_chunk(partition);
        }
        self.filling[partition].push(record);
    }

    #[cold]
    fn next_chunk(&mut self, partition: usize) {
        let fresh = self.spare.pop().unwrap_or_else(|| Vec::with_capacity(CHUNK));
        let full = std::mem::replace(&mut self.filling[partition], fresh);
        self.chunks += 1;
        if full.capacity() > 0 {
            self.full[partition].push(full);
            self.crowded |= self.full[partition].len() >= self.chunks_allowed / CROWD;
        }
    }

    /// Whether there is no room for more.
    pub(super) fn is_full(&self) -> bool {
        self.chunks >= self.chunks_allowed || self.crowded
    }

    /// The records of one partition.
    pub(super) fn chunks(&self, partition: usize) -> impl Iterator<Item = &[Record]> + Clone {
        let full = self.full[partition].iter().map(Vec::as_slice);
        full.chain(std::iter::once(self.filling[partition].as_slice()))
    }

    /// Takes the records of one partition, to be let go of as soon as they are merged.
    pub(super) fn take(&mut self, partition: usize) -> Vec<Vec<Record>> {
        let mut chunks = std::mem::take(&mut self.full[partition]);
        chunks.push(std::mem::take(&mut self.filling[partition]));
        chunks
    }

    /// Forgets all records and keeps the memory that is allowed for the next.
    pub(super) fn clear(&mut self) {
        let filling = self.filling.iter_mut().map(std::mem::take);
        let chunks = self.full.iter_mut().flat_map(std::mem::take).chain(filling);
        self.spare.extend(chunks.filter(|chunk| chunk.capacity() > 0).map(|mut chunk| {
            chunk.clear();
            chunk
        }));
        self.spare.truncate(self.chunks_allowed);
        self.spare.shrink_to_fit();
        self.chunks = 0;
        self.crowded = false;
    }

    /// Lets go of memory that holds no records.
    pub(super) fn shrink(&mut self) {
        self.spare = Vec::new();
    }
}
