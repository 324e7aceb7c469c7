//! Counts as CSV, row by row and integers only, for months of many millions of rows.
//!
//! Rows go through one reused buffer; the formats are fixed, so the numbers are written by hand.
//! `csv::Writer` takes five times the instructions for a row, and the command as a whole twice as
//! many (470,159 rows of 19,160 games, by callgrind).

use std::io::{self, Write};

use shakmaty::{Color, Square};

use crate::counts::{Cell, PositionCounts, Totals};
use crate::terms::{CellId, Group, Key, MoveCode};

const CELLS: &str = "key,move,band,pace,games,wins,draws,losses,expected_milli,clock_games,clock_tenths,\
clock_tenths_sq,eval_games,eval_cp\n";
const NAMES: &str = "key,eco,name,tally\n";
const GROUPS: &str = "key,move,band,pace,group,games\n";
const TOTALS: &str =
    "colour,band,pace,games,wins,draws,losses,expected_milli,expected_sq,expected_result\n";
const TOTAL_GROUPS: &str = "colour,band,pace,group,games\n";

/// When the buffer is handed over.
const FULL: usize = 1 << 16;

/// What is written of each position.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Of {
    /// Its cells, one row each, by move and cell.
    Cells,
    /// The games of its cells by the mover's group, one row a group that occurs, in the order
    /// of the cells.
    Groups,
    /// The learned opening name, no row where there is none.
    Names,
}

/// Rows on positions, which are written in the order in which they come: by key, for the
/// documented order.
#[derive(Debug)]
pub struct Positions<W: Write> {
    of: Of,
    buffer: Buffer<W>,
}

impl<W: Write> Positions<W> {
    /// Starts with the head.
    pub fn new(out: W, of: Of) -> Positions<W> {
        let head = match of {
            Of::Cells => CELLS,
            Of::Groups => GROUPS,
            Of::Names => NAMES,
        };
        Positions { of, buffer: Buffer::new(out, head) }
    }

    /// Writes the rows of one position.
    pub fn write(&mut self, position: &PositionCounts) -> io::Result<()> {
        let (key, buffer) = (position.key, &mut self.buffer);
        match self.of {
            Of::Cells => position.moves.iter().for_each(|mv| {
                mv.cells.iter().for_each(|(id, cell)| buffer.cell_row(key, mv.code, *id, cell));
            }),
            Of::Groups => position.groups.rows().for_each(|(code, id, group, games)| {
                buffer.key(key);
                buffer.code(code);
                buffer.group(id, group, games);
            }),
            Of::Names => position.opening.iter().for_each(|opening| {
                buffer.key(key);
                buffer.text(&opening.tag.eco);
                buffer.text(&opening.tag.name);
                buffer.number(opening.tally);
                buffer.end_row();
            }),
        }
        buffer.relieve()
    }

    /// Hands over what is still buffered.
    pub fn finish(self) -> io::Result<()> {
        self.buffer.finish()
    }
}

/// Games per colour, band and pace: White's rows, then Black's.
pub fn totals<W: Write>(out: W, totals: &Totals) -> io::Result<()> {
    let mut buffer = Buffer::new(out, TOTALS);
    for (colour, id, total) in totals.totals() {
        buffer.colour(colour);
        buffer.cell(id, &total.cell);
        [total.expected_sq, total.expected_result].into_iter().for_each(|n| buffer.number(n));
        buffer.end_row();
    }
    buffer.finish()
}

/// The same games by group, one row a group that occurs.
pub fn total_groups<W: Write>(out: W, totals: &Totals) -> io::Result<()> {
    let mut buffer = Buffer::new(out, TOTAL_GROUPS);
    for (colour, id, total) in totals.totals() {
        for (group, games) in total.groups.occurring() {
            buffer.colour(colour);
            buffer.group(id, group, games);
        }
        buffer.relieve()?;
    }
    buffer.finish()
}

#[derive(Debug)]
struct Buffer<W: Write> {
    bytes: Vec<u8>,
    out: W,
}

impl<W: Write> Buffer<W> {
    fn new(out: W, head: &str) -> Buffer<W> {
        let mut bytes = Vec::with_capacity(2 * FULL);
        bytes.extend_from_slice(head.as_bytes());
        Buffer { bytes, out }
    }

    fn relieve(&mut self) -> io::Result<()> {
        if self.bytes.len() >= FULL {
            self.out.write_all(&self.bytes)?;
            self.bytes.clear();
        }
        Ok(())
    }

    fn finish(mut self) -> io::Result<()> {
        self.out.write_all(&self.bytes)?;
        self.out.flush()
    }

    fn comma(&mut self) {
        self.bytes.push(b',');
    }

    fn end_row(&mut self) {
        self.bytes.push(b'\n');
    }

    /// 16 hex digits, the first cell of a row.
    fn key(&mut self, key: Key) {
        const HEX: &[u8; 16] = b"0123456789abcdef";
        let digit = |place: u32| HEX[(key.0 >> (60 - 4 * place) & 15) as usize];
        self.bytes.extend((0..16).map(digit));
    }

    /// A comma and the UCI text.
    fn code(&mut self, code: MoveCode) {
        let square = |square: Square| {
            [b'a' + u32::from(square.file()) as u8, b'1' + u32::from(square.rank()) as u8]
        };
        self.comma();
        self.bytes.extend_from_slice(&square(code.from()));
        self.bytes.extend_from_slice(&square(code.to()));
        self.bytes.extend(code.promotion().map(|role| role.char() as u8));
    }

    /// The first cell of a row of totals.
    fn colour(&mut self, colour: Color) {
        self.bytes.extend_from_slice(colour.fold_wb("white", "black").as_bytes());
    }

    /// A comma, then band and pace.
    fn id(&mut self, id: CellId) {
        self.number(u64::from(id.band().from()));
        self.comma();
        self.bytes.extend_from_slice(id.pace().name().as_bytes());
    }

    /// A comma, then band to games of a group, and the end of the row.
    fn group(&mut self, id: CellId, group: Group, games: u64) {
        self.id(id);
        self.number(group.index() as u64);
        self.number(games);
        self.end_row();
    }

    /// A comma, then band to expected thousandths.
    fn cell(&mut self, id: CellId, cell: &Cell) {
        self.id(id);
        let counts = [cell.games, cell.wins, cell.draws, cell.losses(), cell.expected_milli];
        counts.into_iter().for_each(|n| self.number(n));
    }

    /// A whole row of a position's cell.
    fn cell_row(&mut self, key: Key, code: MoveCode, id: CellId, cell: &Cell) {
        self.key(key);
        self.code(code);
        self.cell(id, cell);
        let clocks = [cell.clock_games, cell.clock_tenths, cell.clock_tenths_sq];
        clocks.into_iter().chain([cell.eval_games]).for_each(|n| self.number(n));
        self.comma();
        if cell.eval_cp < 0 {
            self.bytes.push(b'-');
        }
        self.digits(cell.eval_cp.unsigned_abs());
        self.end_row();
    }

    /// A comma and a number.
    fn number(&mut self, n: u64) {
        self.comma();
        self.digits(n);
    }

    fn digits(&mut self, mut n: u64) {
        let mut digits = [0; 20];
        let mut start = digits.len();
        loop {
            start -= 1;
            digits[start] = b'0' + (n % 10) as u8;
            n /= 10;
            if n == 0 {
                break;
            }
        }
        self.bytes.extend_from_slice(&digits[start..]);
    }

    /// A comma and a text, quoted where CSV needs it.
    fn text(&mut self, text: &str) {
        self.comma();
        if !text.contains([',', '"', '\n', '\r']) {
            self.bytes.extend_from_slice(text.as_bytes());
            return;
        }
        self.bytes.push(b'"');
        for byte in text.bytes() {
            self.bytes.extend(std::iter::repeat_n(byte, 1 + usize::from(byte == b'"')));
        }
        self.bytes.push(b'"');
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::counts::{CellGroups, MoveCounts, Opening, OpeningTag};
    use crate::pages::kit::printed;
    use crate::terms::{Band, Outcome, Pace};

    fn id(band: usize, pace: Pace) -> CellId {
        CellId::new(Band::from_index(band).expect("a band"), pace)
    }

    fn mv(uci: &str, cells: Vec<(CellId, Cell)>) -> MoveCounts {
        MoveCounts { code: uci.parse::<shakmaty::uci::UciMove>().expect("UCI").into(), cells }
    }

    fn position(key: u64, opening: Option<(&str, &str)>) -> PositionCounts {
        let mut cell = Cell::default();
        [Outcome::Win, Outcome::Draw, Outcome::Loss, Outcome::Loss]
            .into_iter()
            .for_each(|outcome| cell.add_game(outcome, 431));
        cell.add_clock(u32::MAX >> 4);
        cell.add_eval(-1000);
        let full = Cell { games: u64::MAX, eval_cp: i64::MIN, ..Cell::default() };
        let moves = vec![
            mv("e1g1", vec![(id(0, Pace::Bullet), cell), (id(39, Pace::Unknown), cell)]),
            mv("h7h8q", vec![(id(12, Pace::Correspondence), full)]),
        ];
        let tag = |(eco, name): (&str, &str)| OpeningTag { eco: eco.into(), name: name.into() };
        let opening = opening.map(|opening| Opening { tag: tag(opening), tally: 60 });
        let mut groups = CellGroups::default();
        let group = |index| Group::from_index(index).expect("a group");
        let mut add =
            |mv: &MoveCounts, id, index, games| groups.add(mv.code, id, group(index), games);
        add(&moves[0], id(0, Pace::Bullet), 0, 1);
        add(&moves[0], id(0, Pace::Bullet), 31, 3);
        add(&moves[0], id(39, Pace::Unknown), 7, 4);
        add(&moves[1], id(12, Pace::Correspondence), 9, u64::MAX);
        PositionCounts { key: Key(key), opening, moves, groups, may_lack: 0 }
    }

    fn rows(of: Of, positions: &[PositionCounts]) -> String {
        printed(|out| {
            let mut rows = Positions::new(out, of);
            positions.iter().try_for_each(|position| rows.write(position))?;
            rows.finish()
        })
    }

    #[test]
    fn every_cell_is_one_row() {
        insta::assert_snapshot!(rows(Of::Cells, &[position(0xab, None)]), @"
        key,move,band,pace,games,wins,draws,losses,expected_milli,clock_games,clock_tenths,clock_tenths_sq,eval_games,eval_cp
        00000000000000ab,e1g1,0,bullet,4,1,1,2,1724,1,268435455,72057593501057025,1,-1000
        00000000000000ab,e1g1,3900,unknown,4,1,1,2,1724,1,268435455,72057593501057025,1,-1000
        00000000000000ab,h7h8q,1200,correspondence,18446744073709551615,0,0,18446744073709551615,0,0,0,0,0,-9223372036854775808
        ");
    }

    #[test]
    fn every_group_of_a_cell_is_one_row() {
        insta::assert_snapshot!(rows(Of::Groups, &[position(0xab, None)]), @"
        key,move,band,pace,group,games
        00000000000000ab,e1g1,0,bullet,0,1
        00000000000000ab,e1g1,0,bullet,31,3
        00000000000000ab,e1g1,3900,unknown,7,4
        00000000000000ab,h7h8q,1200,correspondence,9,18446744073709551615
        ");
    }

    #[test]
    fn a_full_buffer_loses_nothing() {
        let rows = rows(Of::Cells, &vec![position(u64::MAX, None); 2000]);
        let last = "ffffffffffffffff,h7h8q,1200,correspondence,18446744073709551615,";
        assert_eq!(rows.lines().count(), 1 + 3 * 2000);
        assert!(rows.lines().last().is_some_and(|row| row.starts_with(last)));
        assert!(rows.len() > 2 * FULL);
    }

    #[test]
    fn names_are_quoted_only_where_needed() {
        let openings = [("C41", "Plain Name's"), ("", "Name, \"quoted\""), ("B00", "")];
        let mut positions = openings.map(|opening| position(1, Some(opening))).to_vec();
        positions.push(position(2, None));
        insta::assert_snapshot!(rows(Of::Names, &positions), @r#"
        key,eco,name,tally
        0000000000000001,C41,Plain Name's,60
        0000000000000001,,"Name, ""quoted""",60
        0000000000000001,B00,,60
        "#);
    }

    #[test]
    fn names_read_back_as_they_were() {
        let name = "a\"b,c\nd\re";
        let text = rows(Of::Names, &[position(1, Some(("C00", name)))]);
        let mut reader = csv::Reader::from_reader(text.as_bytes());
        let row = reader.records().next().expect("a row").expect("CSV");
        assert_eq!((&row[1], &row[2]), ("C00", name));
    }

    #[test]
    fn totals_list_white_before_black() {
        let mut sums = Totals::default();
        let group = |index| Group::from_index(index).expect("a group");
        sums.add_game(Color::Black, id(3, Pace::Blitz), group(2), Outcome::Win, 400);
        sums.add_game(Color::White, id(20, Pace::Rapid), group(30), Outcome::Loss, 600);
        sums.add_game(Color::White, id(20, Pace::Rapid), group(4), Outcome::Draw, 500);
        insta::assert_snapshot!(printed(|out| totals(out, &sums)), @"
        colour,band,pace,games,wins,draws,losses,expected_milli,expected_sq,expected_result
        white,2000,rapid,2,0,1,1,1100,610000,250000
        black,300,blitz,1,1,0,0,400,160000,400000
        ");
        insta::assert_snapshot!(printed(|out| total_groups(out, &sums)), @"
        colour,band,pace,group,games
        white,2000,rapid,4,1
        white,2000,rapid,30,1
        black,300,blitz,2,1
        ");
    }
}
