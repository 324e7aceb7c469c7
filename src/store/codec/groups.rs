//! The games of cells by group as bits, lowest first; the layout stands in [`crate::store`].

use super::DecodeError;
use crate::counts::CellGroups;
use crate::terms::{CellId, Group, MoveCode};

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
pub(super) struct Writer<'o> {
    out: &'o mut Vec<u8>,
    bits: u64,
    /// How many, below 8 between calls.
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
            (0..here >> low).for_each(|_| self.put(1, 1));
            self.put(0, 1);
            self.put(here & ((1 << low) - 1), low);
        }
    }

    /// Appends the lowest `count` bits, at most 56 of them; the others must be zero.
    fn put(&mut self, bits: u64, count: u32) {
        self.bits |= bits << self.count;
        self.count += count;
        while self.count >= u8::BITS {
            self.out.push(self.bits as u8);
            self.bits >>= u8::BITS;
            self.count -= u8::BITS;
        }
    }

    /// Fills the last byte with zeros.
    pub fn finish(mut self) {
        if self.count > 0 {
            self.put(0, u8::BITS - self.count);
        }
    }
}

/// Reads bits from bytes.
pub(super) struct Reader<'b> {
    bytes: &'b [u8],
    bits: u64,
    count: u32,
}

impl<'b> Reader<'b> {
    pub fn new(bytes: &'b [u8]) -> Reader<'b> {
        Reader { bytes, bits: 0, count: 0 }
    }

    /// Adds the games of one cell to those of the cells before it.
    pub fn cell(
        &mut self,
        (code, id, games): (MoveCode, CellId, u64),
        groups: &mut CellGroups,
    ) -> Result<(), DecodeError> {
        if games < MANY {
            let (mut last, mut same) = (None, 0);
            for _ in 0..games {
                let group = self.group()?;
                match last {
                    Some(before) if before == group => same += 1,
                    Some(before) if before > group => return Err(LONG),
                    before => {
                        before.into_iter().for_each(|before| groups.add(code, id, before, same));
                        (last, same) = (Some(group), 1);
                    }
                }
            }
            last.into_iter().for_each(|last| groups.add(code, id, last, same));
            return Ok(());
        }
        let (low, mut left) = (low_bits(games), games);
        for group in Group::all() {
            let high = self.ones(left >> low)?;
            let here = high << low | self.take(low)?;
            left = left.checked_sub(here).ok_or(SUM)?;
            if here > 0 {
                groups.add(code, id, group, here);
            }
        }
        if left == 0 { Ok(()) } else { Err(SUM) }
    }

    fn group(&mut self) -> Result<Group, DecodeError> {
        let index = self.take(Group::BITS)?;
        Ok(Group::from_index(index as usize).expect("five bits"))
    }

    /// How many ones come before the next zero, which is passed over; no more than `most`.
    fn ones(&mut self, most: u64) -> Result<u64, DecodeError> {
        let mut ones = 0;
        loop {
            self.fill(1)?;
            // The bits that are not there are zeros.
            let run = self.bits.trailing_ones();
            ones += u64::from(run);
            if ones > most {
                return Err(SUM);
            }
            if run < self.count {
                self.pass(run + 1);
                return Ok(ones);
            }
            self.pass(run);
        }
    }

    /// The next `count` bits, at most 56.
    fn take(&mut self, count: u32) -> Result<u64, DecodeError> {
        self.fill(count)?;
        let bits = self.bits & ((1 << count) - 1);
        self.pass(count);
        Ok(bits)
    }

    fn fill(&mut self, count: u32) -> Result<(), DecodeError> {
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
