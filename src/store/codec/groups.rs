//! The games of cells by group as bits, lowest first; the layout is in [`crate::store`].

use super::DecodeError;
use crate::terms::Group;

/// From so many games on a cell has a number for every group instead of a group for every game.
const MANY: u64 = 8;

const LONG: DecodeError = DecodeError("games by group in a longer form than their own");
const SUM: DecodeError = DecodeError("games by group that do not add up to those of the cell");
const CUT: DecodeError = DecodeError("games by group that are cut short");

/// How many low bits of a group's games are written as they are in a cell of so many games; the bits above
/// them are written as so many ones and a zero (a Rice code).
fn low_bits(games: u64) -> u32 {
    (games / Group::COUNT as u64).max(1).ilog2()
}

/// Appends bits to bytes.
pub(in crate::store) struct Writer<'o> {
    out: &'o mut Vec<u8>,
    bits: u64,
    count: u32,
}

impl<'o> Writer<'o> {
    pub fn new(out: &'o mut Vec<u8>) -> Writer<'o> {
        Writer { out, bits: 0, count: 0 }
    }

    /// Appends the games of one cell: from rows of groups in order those that add up to them.
    pub fn cell(&mut self, games: u64, rows: &mut impl Iterator<Item = (Group, u64)>) {
        let mut left = games;
        let mut row = || {
            if left == 0 {
                return None;
            }
            let row = rows.next();
            left -= row.map_or(left, |(_, games)| games);
            row
        };
        if games < MANY {
            while let Some((group, games)) = row() {
                (0..games).for_each(|_| self.put(group.index() as u64, Group::BITS));
            }
            return;
        }
        let low = low_bits(games);
        let mut next = row();
        for group in Group::all() {
            let here = match next {
                Some((its, games)) if its == group => {
                    next = row();
                    games
                }
                _ => 0,
            };
            self.ones(here >> low);
            self.put(here & ((1 << low) - 1), low);
        }
    }

    /// Appends so many ones and a zero.
    fn ones(&mut self, mut ones: u64) {
        while ones >= 32 {
            self.put(u32::MAX.into(), 32);
            ones -= 32;
        }
        self.put((1 << ones) - 1, ones as u32 + 1);
    }

    /// Appends the lowest `count` bits, at most 56; the others must be zero.
    fn put(&mut self, bits: u64, count: u32) {
        if self.count + count >= u64::BITS {
            self.flush();
        }
        self.bits |= bits << self.count;
        self.count += count;
    }

    /// Hands whole bytes over, so that less than one stays.
    fn flush(&mut self) {
        let whole = self.count / u8::BITS;
        self.out.extend_from_slice(&self.bits.to_le_bytes()[..whole as usize]);
        self.bits >>= whole * u8::BITS;
        self.count %= u8::BITS;
    }

    /// Fills the last byte with zeros.
    pub fn finish(mut self) {
        self.flush();
        if self.count > 0 {
            self.out.push(self.bits as u8);
        }
    }
}

/// Reads bits from bytes.
pub(in crate::store) struct Reader<'b> {
    bytes: &'b [u8],
    bits: u64,
    count: u32,
}

impl<'b> Reader<'b> {
    pub fn new(bytes: &'b [u8]) -> Reader<'b> {
        Reader { bytes, bits: 0, count: 0 }
    }

    /// Reads the games of a cell that has so many: those of each group that occurs, in order, one by one or together.
    pub fn cell(&mut self, games: u64, mut add: impl FnMut(Group, u64)) -> Result<(), DecodeError> {
        let group = |index: u64| Group::from_index(index as usize).expect("five bits");
        if games < MANY {
            let mut bits = self.take(games as u32 * Group::BITS)?;
            let mut before = 0;
            for _ in 0..games {
                let index = bits % Group::COUNT as u64;
                if index < before {
                    return Err(LONG);
                }
                add(group(index), 1);
                (before, bits) = (index, bits >> Group::BITS);
            }
            return Ok(());
        }
        let (low, mut left) = (low_bits(games), games);
        // Nearly all numbers are short and whole in the bits at hand, which stay in registers.
        let (mut bits, mut count) = (self.bits, self.count);
        for group in Group::all() {
            let run = bits.trailing_ones();
            let length = run + 1 + low;
            let here = if length <= count {
                let number = u64::from(run) << low | bits >> (run + 1) & ((1 << low) - 1);
                (bits, count) = (bits >> length, count - length);
                number
            } else {
                (self.bits, self.count) = (bits, count);
                let number = self.number(low, left)?;
                (bits, count) = (self.bits, self.count);
                number
            };
            left = left.checked_sub(here).ok_or(SUM)?;
            if here > 0 {
                add(group, here);
            }
        }
        (self.bits, self.count) = (bits, count);
        if left == 0 { Ok(()) } else { Err(SUM) }
    }

    /// The next number, with so many low bits, of at most `most`.
    #[cold]
    fn number(&mut self, low: u32, most: u64) -> Result<u64, DecodeError> {
        let mut high = 0;
        loop {
            self.fill(1)?;
            // The bits that are not there are zeros.
            let run = self.bits.trailing_ones();
            high += u64::from(run);
            if high > most >> low {
                return Err(SUM);
            }
            if run < self.count {
                self.pass(run + 1);
                break;
            }
            self.pass(run);
        }
        Ok(high << low | self.take(low)?)
    }

    /// The next `count` bits, at most 56.
    fn take(&mut self, count: u32) -> Result<u64, DecodeError> {
        self.fill(count)?;
        let bits = self.bits & ((1 << count) - 1);
        self.pass(count);
        Ok(bits)
    }

    #[inline]
    fn fill(&mut self, count: u32) -> Result<(), DecodeError> {
        if self.count >= count { Ok(()) } else { self.fill_up(count) }
    }

    /// Takes bytes for at least `count` bits, and while there are enough for 56 or more.
    fn fill_up(&mut self, count: u32) -> Result<(), DecodeError> {
        if let Some(word) = self.bytes.first_chunk() {
            self.bits |= u64::from_le_bytes(*word) << self.count;
            let taken = (u64::BITS - 1 - self.count) / u8::BITS;
            self.bytes = &self.bytes[taken as usize..];
            self.count += taken * u8::BITS;
            self.bits &= u64::MAX >> (u64::BITS - self.count);
            return Ok(());
        }
        while self.count < count {
            let (&byte, rest) = self.bytes.split_first().ok_or(CUT)?;
            self.bits |= u64::from(byte) << self.count;
            (self.bytes, self.count) = (rest, self.count + u8::BITS);
        }
        Ok(())
    }

    fn pass(&mut self, count: u32) {
        (self.bits, self.count) = (self.bits >> count, self.count - count);
    }

    /// Whether nothing but the zeros that fill the last byte is left.
    pub fn finish(self) -> Result<(), DecodeError> {
        let whole = self.bytes.is_empty() && self.count < u8::BITS && self.bits == 0;
        if whole { Ok(()) } else { Err(LONG) }
    }
}
