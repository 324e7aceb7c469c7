//! Numbers as bits, lowest first.

/// Appends bits to bytes.
pub struct BitWriter<'o> {
    out: &'o mut Vec<u8>,
    /// Those of the last byte, which is not full.
    bits: u64,
    count: u32,
}

impl<'o> BitWriter<'o> {
    /// The most bits that can be put, or taken by a [`BitReader`], at a time.
    pub const MOST: u32 = u64::BITS - u8::BITS;

    /// Begins behind what is there.
    pub fn new(out: &'o mut Vec<u8>) -> BitWriter<'o> {
        BitWriter { out, bits: 0, count: 0 }
    }

    /// Appends a number of so many bits, at most [`BitWriter::MOST`].
    ///
    /// Whole words are written, of which those bytes stay that are full: where bits end is hard to
    /// foresee, so nothing hangs on it.
    #[inline]
    pub fn put(&mut self, number: u64, count: u32) {
        debug_assert!(number >> count == 0 && count <= Self::MOST);
        self.bits |= number << self.count;
        let there = self.count + count;
        let full = there / u8::BITS;
        let end = self.out.len() + full as usize;
        self.out.extend_from_slice(&self.bits.to_le_bytes());
        self.out.truncate(end);
        self.bits >>= full * u8::BITS;
        self.count = there % u8::BITS;
    }

    /// Appends so many ones and a zero.
    #[inline]
    pub fn ones(&mut self, mut ones: u64) {
        while ones >= 32 {
            self.put(u32::MAX.into(), 32);
            ones -= 32;
        }
        self.put((1 << ones) - 1, ones as u32 + 1);
    }

    /// Fills the last byte with zeros.
    pub fn finish(self) {
        if self.count > 0 {
            self.out.push(self.bits as u8);
        }
    }
}

/// Reads bits from bytes.
pub struct BitReader<'b> {
    bytes: &'b [u8],
    /// Those at hand; above them may be more, which come again with the next byte.
    pub(super) bits: u64,
    /// How many there are.
    pub(super) count: u32,
}

impl<'b> BitReader<'b> {
    /// Begins with the first byte.
    pub fn new(bytes: &'b [u8]) -> BitReader<'b> {
        BitReader { bytes, bits: 0, count: 0 }
    }

    /// The next number of so many bits, at most [`BitWriter::MOST`]; `None` if there are fewer.
    #[inline]
    pub fn take(&mut self, count: u32) -> Option<u64> {
        debug_assert!(count <= BitWriter::MOST);
        self.fill(count)?;
        let bits = self.bits & ((1 << count) - 1);
        self.pass(count);
        Some(bits)
    }

    /// How many ones there are before a zero, which is passed as well; `None` if there are more
    /// than `most`, or no zero.
    #[inline]
    pub fn ones(&mut self, most: u64) -> Option<u64> {
        let mut ones = 0;
        loop {
            self.fill(1)?;
            let run = self.bits.trailing_ones().min(self.count);
            ones += u64::from(run);
            if ones > most {
                return None;
            }
            if run < self.count {
                self.pass(run + 1);
                return Some(ones);
            }
            self.pass(run);
        }
    }

    /// Makes at least `count` bits ready, and the most or more while eight bytes are left.
    #[inline]
    fn fill(&mut self, count: u32) -> Option<()> {
        let Some(word) = self.bytes.first_chunk() else { return self.fill_by_bytes(count) };
        self.bits |= u64::from_le_bytes(*word) << self.count;
        let taken = (u64::BITS - 1 - self.count) / u8::BITS;
        self.bytes = &self.bytes[taken as usize..];
        self.count += taken * u8::BITS;
        (self.count >= count).then_some(())
    }

    fn fill_by_bytes(&mut self, count: u32) -> Option<()> {
        while self.count < count {
            let (&byte, rest) = self.bytes.split_first()?;
            self.bits |= u64::from(byte) << self.count;
            (self.bytes, self.count) = (rest, self.count + u8::BITS);
        }
        Some(())
    }

    #[inline]
    fn pass(&mut self, count: u32) {
        (self.bits, self.count) = (self.bits >> count, self.count - count);
    }

    /// Whether nothing but the zeros that fill the last byte is left.
    pub fn is_at_end(&self) -> bool {
        self.bytes.is_empty() && self.count < u8::BITS && self.bits & ((1 << self.count) - 1) == 0
    }
}
