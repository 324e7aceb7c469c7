//! Numbers as bits, lowest first.

/// Appends bits to bytes.
pub struct BitWriter<'o> {
    out: &'o mut Vec<u8>,
    bits: u64,
    count: u32,
}

impl<'o> BitWriter<'o> {
    /// Begins behind what is there.
    pub fn new(out: &'o mut Vec<u8>) -> BitWriter<'o> {
        BitWriter { out, bits: 0, count: 0 }
    }

    /// Appends a number of so many bits, at most 63.
    #[inline]
    pub fn put(&mut self, number: u64, count: u32) {
        debug_assert!(number >> count == 0);
        self.bits |= number << self.count;
        let there = self.count + count;
        if there >= u64::BITS {
            self.out.extend_from_slice(&self.bits.to_le_bytes());
            self.bits = number.checked_shr(u64::BITS - self.count).unwrap_or(0);
        }
        self.count = there % u64::BITS;
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
        let bytes = self.count.div_ceil(u8::BITS) as usize;
        self.out.extend_from_slice(&self.bits.to_le_bytes()[..bytes]);
    }
}

/// Reads bits from bytes.
pub struct BitReader<'b> {
    bytes: &'b [u8],
    /// Those at hand; behind them are zeros.
    pub(super) bits: u64,
    /// How many there are.
    pub(super) count: u32,
}

impl<'b> BitReader<'b> {
    /// Begins with the first byte.
    pub fn new(bytes: &'b [u8]) -> BitReader<'b> {
        BitReader { bytes, bits: 0, count: 0 }
    }

    /// The next number of so many bits, at most 56; `None` if there are fewer.
    #[inline]
    pub fn take(&mut self, count: u32) -> Option<u64> {
        self.fill(count)?;
        let bits = self.bits & ((1 << count) - 1);
        self.pass(count);
        Some(bits)
    }

    /// How many ones there are before a zero, which is passed as well; `None` if there are more than `most`, or
    /// no zero.
    #[inline]
    pub fn ones(&mut self, most: u64) -> Option<u64> {
        let mut ones = 0;
        loop {
            self.fill(1)?;
            let run = self.bits.trailing_ones();
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

    #[inline]
    fn fill(&mut self, count: u32) -> Option<()> {
        if self.count >= count { Some(()) } else { self.fill_up(count) }
    }

    /// Takes bytes for at least `count` bits, and while there are enough for 56 or more.
    fn fill_up(&mut self, count: u32) -> Option<()> {
        if let Some(word) = self.bytes.first_chunk() {
            self.bits |= u64::from_le_bytes(*word) << self.count;
            let taken = (u64::BITS - 1 - self.count) / u8::BITS;
            self.bytes = &self.bytes[taken as usize..];
            self.count += taken * u8::BITS;
            self.bits &= u64::MAX >> (u64::BITS - self.count);
            return Some(());
        }
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
        self.bytes.is_empty() && self.count < u8::BITS && self.bits == 0
    }
}
