//! The games of cells by group as bits, lowest first; the layout is in [`crate::store`].

use super::DecodeError;
use super::bits::{BitReader, BitWriter};
use crate::terms::Group;

/// From so many games on a cell has a number for every group instead of a group for every game.
const MANY: u64 = 8;

const LONG: DecodeError = DecodeError("games by group in a longer form than their own");
const SUM: DecodeError = DecodeError("games by group that do not add up to those of the cell");
const CUT: DecodeError = DecodeError("games by group that are cut short");

/// How many low bits of a group's games are written as they are in a cell of so many games; the
/// bits above them are written as so many ones and a zero (a Rice code).
fn low_bits(games: u64) -> u32 {
    (games / Group::COUNT as u64).max(1).ilog2()
}

impl BitWriter<'_> {
    /// Appends the games of one cell: from rows of groups in order those that add up to them.
    pub(in crate::store) fn cell(
        &mut self,
        games: u64,
        rows: &mut impl Iterator<Item = (Group, u64)>,
    ) {
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
}

impl BitReader<'_> {
    /// Reads the games of a cell that has so many: those of each group that occurs, in order, one
    /// by one or together.
    pub(in crate::store) fn cell(
        &mut self,
        games: u64,
        mut add: impl FnMut(Group, u64),
    ) -> Result<(), DecodeError> {
        let group = |index: u64| Group::from_index(index as usize).expect("five bits");
        if games < MANY {
            let mut bits = self.take(games as u32 * Group::BITS).ok_or(CUT)?;
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
                let number = self.number(low, left).ok_or(SUM)?;
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
    fn number(&mut self, low: u32, most: u64) -> Option<u64> {
        Some(self.ones(most >> low)? << low | self.take(low)?)
    }

    /// Whether nothing is left.
    pub(in crate::store) fn finish(self) -> Result<(), DecodeError> {
        if self.is_at_end() { Ok(()) } else { Err(LONG) }
    }
}
