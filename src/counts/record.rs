//! One counted half-move of one game, packed for sorting.

use super::Cell;
use crate::terms::{CellId, Group, Key, MoveCode, Outcome};

/// Place of an opening tag in a build's list of tags; 0 stands for a game without such a tag.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct NameId(u32);

impl NameId {
    /// No tag, or a half-move too deep to learn a name from.
    pub const NONE: NameId = NameId(0);
    /// How many bits an id takes.
    pub const BITS: u32 = 20;

    /// `None` past 2^20 - 1.
    pub fn new(id: u32) -> Option<NameId> {
        (id >> Self::BITS == 0).then_some(NameId(id))
    }

    /// The number.
    pub fn get(self) -> u32 {
        self.0
    }
}

/// One counted half-move in 20 bytes, which is what a build sorts and spills.
///
/// | field | bits |
/// | --- | --- |
/// | `key` | position, 64 |
/// | `head` | from the top: move 15, band and pace 8, group 5, evaluation 11 (0 none, else centipawns + 1001), clock 25 (0 none, else tenths of a second + 1) |
/// | `tail` | from the top: outcome 2, expected thousandths 10, opening name 20 |
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[repr(C, packed(4))]
pub struct Record {
    key: u64,
    head: u64,
    tail: u32,
}

const CLOCK_BITS: u32 = 25;
const EVAL_SHIFT: u32 = CLOCK_BITS;
const EVAL_BITS: u32 = 11;
const GROUP_SHIFT: u32 = EVAL_SHIFT + EVAL_BITS;
const CELL_SHIFT: u32 = GROUP_SHIFT + Group::BITS;
const CODE_SHIFT: u32 = CELL_SHIFT + u8::BITS;
const EXPECTED_SHIFT: u32 = NameId::BITS;
const OUTCOME_SHIFT: u32 = EXPECTED_SHIFT + 10;

impl Record {
    /// Width in bytes.
    pub const BYTES: usize = size_of::<Record>();
    /// The longest time spent that a record can hold, 38.8 days; longer ones are no reading.
    pub const MAX_TENTHS: u32 = (1 << CLOCK_BITS) - 2;

    /// A half-move by `code` in the position `key`, mover's view.
    pub fn new(
        key: Key,
        code: MoveCode,
        id: CellId,
        outcome: Outcome,
        expected_milli: u16,
    ) -> Record {
        let head = u64::from(code.bits()) << CODE_SHIFT | u64::from(id.bits()) << CELL_SHIFT;
        let tail = (outcome as u32) << OUTCOME_SHIFT | u32::from(expected_milli) << EXPECTED_SHIFT;
        Record { key: key.0, head, tail }
    }

    /// The same by a mover of this group.
    pub fn with_group(mut self, group: Group) -> Record {
        self.head |= (group.index() as u64) << GROUP_SHIFT;
        self
    }

    /// The same with the time spent, in tenths of a second up to [`Record::MAX_TENTHS`].
    pub fn with_clock(mut self, tenths: Option<u32>) -> Record {
        if let Some(tenths) = tenths {
            self.head |= u64::from(tenths + 1);
        }
        self
    }

    /// The same with the evaluation after the move, in centipawns within +-1000.
    pub fn with_eval(mut self, centipawns: Option<i16>) -> Record {
        if let Some(centipawns) = centipawns {
            self.head |= ((i32::from(centipawns) + 1001) as u64) << EVAL_SHIFT;
        }
        self
    }

    /// The same with the game's opening tag.
    pub fn with_name(mut self, name: NameId) -> Record {
        self.tail |= name.get();
        self
    }

    /// The position.
    pub fn key(&self) -> Key {
        Key(self.key)
    }

    /// Move, band and pace as one number that sorts by move, band, pace.
    pub fn cell_bits(&self) -> u32 {
        (self.head >> CELL_SHIFT) as u32
    }

    /// The same with the group behind them.
    pub fn group_bits(&self) -> u32 {
        (self.head >> GROUP_SHIFT) as u32
    }

    /// The move.
    pub fn code(&self) -> MoveCode {
        MoveCode::from_bits((self.head >> CODE_SHIFT) as u16).expect("packed from a code")
    }

    /// Band and pace.
    pub fn cell_id(&self) -> CellId {
        CellId::from_bits((self.head >> CELL_SHIFT) as u8).expect("packed from an id")
    }

    /// The mover's group.
    pub fn group(&self) -> Group {
        Group::from_index(self.group_bits() as usize % Group::COUNT).expect("a remainder")
    }

    fn clock(&self) -> u32 {
        self.head as u32 & ((1 << CLOCK_BITS) - 1)
    }

    /// The opening tag of the game.
    pub fn name(&self) -> NameId {
        NameId(self.tail & ((1 << NameId::BITS) - 1))
    }

    /// Adds the game to its cell.
    pub fn add_to(&self, cell: &mut Cell) {
        let outcome = match self.tail >> OUTCOME_SHIFT {
            0 => Outcome::Win,
            1 => Outcome::Draw,
            _ => Outcome::Loss,
        };
        cell.add_game(outcome, (self.tail >> EXPECTED_SHIFT & 1023) as u16);
        let clock = self.clock();
        if clock > 0 {
            cell.add_clock(clock - 1);
        }
        let eval = (self.head >> EVAL_SHIFT) as u32 & ((1 << EVAL_BITS) - 1);
        if eval > 0 {
            cell.add_eval((eval as i32 - 1001) as i16);
        }
    }

    /// The three packed words, for writing to disk.
    pub fn words(&self) -> (u64, u64, u32) {
        (self.key, self.head, self.tail)
    }

    /// Back from [`Record::words`].
    pub fn from_words(key: u64, head: u64, tail: u32) -> Record {
        Record { key, head, tail }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::terms::{Band, Pace};

    fn code(uci: &str) -> MoveCode {
        uci.parse::<shakmaty::uci::UciMove>().expect("a move").into()
    }

    #[test]
    fn every_field_comes_back() {
        let id = CellId::new(Band::from_index(39).expect("a band"), Pace::Unknown);
        let record = Record::new(Key(u64::MAX), code("h7h8r"), id, Outcome::Loss, 1000)
            .with_group(Group::from_index(31).expect("a group"))
            .with_clock(Some(Record::MAX_TENTHS))
            .with_eval(Some(1000))
            .with_name(NameId::new(0xfffff).expect("fits"));
        let mut cell = Cell::default();
        record.add_to(&mut cell);
        assert_eq!(
            (record.key(), record.code(), record.cell_id()),
            (Key(u64::MAX), code("h7h8r"), id)
        );
        assert_eq!((record.name().get(), record.group().index()), (0xfffff, 31));
        assert_eq!((cell.losses(), cell.expected_milli, cell.eval_cp), (1, 1000, 1000));
        assert_eq!(cell.clock_tenths, u64::from(Record::MAX_TENTHS));
    }

    #[test]
    fn nothing_known_adds_nothing() {
        let id = CellId::new(Band::from_index(0).expect("a band"), Pace::Bullet);
        let mut cell = Cell::default();
        Record::new(Key(1), code("a2a3"), id, Outcome::Draw, 0).add_to(&mut cell);
        assert_eq!((cell.clock_games, cell.eval_games, cell.draws), (0, 0, 1));
    }

    #[test]
    fn squares_of_absurd_times_do_not_wrap_around() {
        let id = CellId::new(Band::from_index(0).expect("a band"), Pace::Bullet);
        let record = Record::new(Key(1), code("a2a3"), id, Outcome::Draw, 0)
            .with_clock(Some(Record::MAX_TENTHS));
        let (mut half, mut cell) = (Cell::default(), Cell::default());
        (0..10_000).for_each(|_| record.add_to(&mut half));
        cell.merge(&half);
        cell.merge(&half);
        assert_eq!((cell.clock_games, cell.clock_tenths_sq), (20_000, u64::MAX));
    }

    #[test]
    fn the_lowest_and_highest_evaluations_are_told_from_none() {
        let id = CellId::new(Band::from_index(0).expect("a band"), Pace::Bullet);
        for eval in [-1000, -1, 1, 1000] {
            let mut cell = Cell::default();
            let record = Record::new(Key(1), code("a2a3"), id, Outcome::Draw, 0);
            record.with_eval(Some(eval)).add_to(&mut cell);
            assert_eq!((cell.eval_games, cell.eval_cp, cell.clock_games), (1, eval.into(), 0));
        }
    }

    #[test]
    fn zero_seconds_and_zero_centipawns_are_readings() {
        let id = CellId::new(Band::from_index(12).expect("a band"), Pace::Rapid);
        let mut cell = Cell::default();
        Record::new(Key(1), code("a2a3"), id, Outcome::Win, 500)
            .with_clock(Some(0))
            .with_eval(Some(0))
            .add_to(&mut cell);
        assert_eq!((cell.clock_games, cell.clock_tenths), (1, 0));
        assert_eq!((cell.eval_games, cell.eval_cp), (1, 0));
    }
}
