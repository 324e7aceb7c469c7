//! The counts of one position as bytes and back; the layout is in [`crate::store`].

use crate::counts::{Cell, CellGroups, GroupGames, MoveCounts, Opening, PositionCounts, Record};
use crate::terms::{CellId, Group, Key, MoveCode, MoverFilter};

mod bits;
#[cfg(test)]
mod bits_tests;
mod groups;
mod shape;
mod varint;

pub use bits::{BitReader, BitWriter};
pub use varint::DecodeError;
pub(super) use varint::{Bytes, put_varint};
use varint::{put_signed, unzigzag};

/// What the body of an entry starts with.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct BodyHead {
    /// Games that may be missing.
    pub may_lack: u64,
    /// Games in all.
    pub games: u64,
    /// Cells in all.
    pub cells: u64,
}

const SINGLE: u16 = 1 << MoveCode::BITS;

/// Appends all counts of a position but its key and opening, which the store adds on writing.
///
/// Cells must hold the store's invariants: sorted, none empty, a single clock reading's square is
/// the square of its sum, and their games by group add up to their games.
pub fn encode_body(position: &PositionCounts, out: &mut Vec<u8>) -> BodyHead {
    let moves =
        position.moves.iter().map(|mv| (mv.code, mv.cells.iter().map(|(id, cell)| (*id, cell))));
    let cells = position.moves.iter().map(|mv| mv.cells.len() as u64).sum();
    let head = BodyHead { may_lack: position.may_lack, games: position.games(), cells };
    let groups = position.groups.rows().map(|(_, _, group, games)| (group, games));
    encode_moves(head, moves, groups, out)
}

/// The same for a position of which no game may be missing, from its cells and their games by
/// group, both in order.
pub fn encode_cells(
    cells: &[(MoveCode, CellId, Cell)],
    groups: impl Iterator<Item = (Group, u64)>,
    out: &mut Vec<u8>,
) -> BodyHead {
    let games = cells.iter().map(|(_, _, cell)| cell.games).sum();
    let moves = cells
        .chunk_by(|a, b| a.0 == b.0)
        .map(|mv| (mv[0].0, mv.iter().map(|(_, id, cell)| (*id, cell))));
    encode_moves(BodyHead { may_lack: 0, games, cells: cells.len() as u64 }, moves, groups, out)
}

fn encode_moves<'c, C: ExactSizeIterator<Item = (CellId, &'c Cell)>>(
    head: BodyHead,
    moves: impl Iterator<Item = (MoveCode, C)> + Clone,
    mut groups: impl Iterator<Item = (Group, u64)>,
    out: &mut Vec<u8>,
) -> BodyHead {
    put_varint(out, head.may_lack);
    put_varint(out, head.games);
    put_varint(out, head.cells);
    for (code, cells) in moves.clone() {
        let single = cells.len() == 1;
        let bits = code.bits() | if single { SINGLE } else { 0 };
        out.extend_from_slice(&bits.to_le_bytes());
        if !single {
            put_varint(out, cells.len() as u64);
        }
        for (id, cell) in cells {
            encode_cell(id, cell, out);
        }
    }
    let mut writer = BitWriter::new(out);
    for (_, cell) in moves.flat_map(|(_, cells)| cells) {
        writer.cell(cell.games, &mut groups);
    }
    writer.finish();
    debug_assert_eq!(groups.next(), None, "games by group add up to the games of the cells");
    head
}

fn encode_cell(id: CellId, cell: &Cell, out: &mut Vec<u8>) {
    debug_assert_eq!(unsound(cell), None);
    let shape = shape::of(cell.games, cell.wins, cell.draws);
    let clock = match cell.clock_games {
        0 => 0,
        readings if readings == cell.games => 1,
        _ => 2,
    };
    let eval = u8::from(cell.eval_games > 0);
    out.extend_from_slice(&[id.bits(), (clock * 2 + eval) * shape::COUNT + shape]);
    if shape == shape::WIDE {
        put_varint(out, cell.games);
        put_varint(out, cell.wins);
        put_varint(out, cell.draws);
    }
    put_signed(out, cell.expected_milli.wrapping_sub(cell.games.wrapping_mul(500)) as i64);
    if clock == 2 {
        put_varint(out, cell.clock_games);
    }
    if clock > 0 {
        put_varint(out, cell.clock_tenths);
    }
    if cell.clock_games > 1 {
        put_varint(out, cell.clock_tenths_sq);
    }
    if eval > 0 {
        put_varint(out, cell.eval_games);
        put_signed(out, cell.eval_cp);
    }
}

/// Reads a body back, and checks every invariant that a single entry can break.
///
/// # Errors
/// For any bytes that [`encode_body`] does not write; no length in them is trusted.
pub fn decode_body(
    key: Key,
    opening: Option<Opening>,
    body: &[u8],
) -> Result<PositionCounts, DecodeError> {
    let mut decoder = Decoder::default();
    let (head, rest) = decoder.decode(body)?;
    let groups = decoder.groups(rest)?;
    Ok(PositionCounts { key, may_lack: head.may_lack, opening, moves: decoder.moves, groups })
}

/// Reads one body after the other into the same memory.
#[derive(Default)]
pub(super) struct Decoder {
    /// The moves of the last body.
    pub moves: Vec<MoveCounts>,
    spare: Vec<Vec<(CellId, Cell)>>,
}

impl Decoder {
    /// Reads the games by group that follow the moves of the last body.
    pub fn groups(&self, bytes: &[u8]) -> Result<CellGroups, DecodeError> {
        let cells =
            || self.moves.iter().flat_map(|mv| mv.cells.iter().map(move |it| (mv.code, it)));
        let most = cells().map(|(_, (_, cell))| cell.games.min(Group::COUNT as u64)).sum::<u64>();
        let mut groups = CellGroups::with_room(most as usize);
        let mut reader = BitReader::new(bytes);
        for (code, (id, cell)) in cells() {
            let mut last = groups.append(code, *id);
            reader.cell(cell.games, |group, games| last.add(group, games))?;
        }
        reader.finish()?;
        Ok(groups)
    }

    /// The same games summed straight from their bits: those of the movers that the filter lets
    /// through, one entry for each move.
    pub fn groups_by_move(
        &self,
        bytes: &[u8],
        filter: MoverFilter,
    ) -> Result<Vec<GroupGames>, DecodeError> {
        let mut reader = BitReader::new(bytes);
        let mut moves = vec![GroupGames::default(); self.moves.len()];
        for (mv, sum) in self.moves.iter().zip(&mut moves) {
            for (id, cell) in &mv.cells {
                match filter.admits(*id) {
                    true => reader.cell(cell.games, |group, games| sum.add(group, games))?,
                    false => reader.cell(cell.games, |_, _| ())?,
                }
            }
        }
        reader.finish()?;
        Ok(moves)
    }

    /// As [`decode_body`], but for the games by group, which are in the bytes behind.
    pub fn decode<'b>(&mut self, body: &'b [u8]) -> Result<(BodyHead, &'b [u8]), DecodeError> {
        self.spare.extend(self.moves.drain(..).map(|mv| mv.cells));
        let mut bytes = Bytes(body);
        let head =
            BodyHead { may_lack: bytes.varint()?, games: bytes.varint()?, cells: bytes.varint()? };
        let (mut games, mut cells) = (0u64, 0u64);
        while cells < head.cells {
            let mv = decode_move(&mut bytes, self.spare.pop().unwrap_or_default())?;
            if self.moves.last().is_some_and(|last| last.code >= mv.code) {
                return Err(DecodeError("its moves are out of order"));
            }
            cells += mv.cells.len() as u64;
            for (_, cell) in &mv.cells {
                games = games.checked_add(cell.games).ok_or(DecodeError("too many games"))?;
            }
            self.moves.push(mv);
        }
        if (games, cells) != (head.games, head.cells) || games == 0 {
            return Err(DecodeError("its cells do not add up to its games"));
        }
        Ok((head, bytes.0))
    }
}

/// The next move; its cells replace those in `cells`.
fn decode_move(
    bytes: &mut Bytes<'_>,
    mut cells: Vec<(CellId, Cell)>,
) -> Result<MoveCounts, DecodeError> {
    let bits = u16::from_le_bytes(bytes.array()?);
    let code = MoveCode::from_bits(bits & !SINGLE).ok_or(DecodeError("a move that is none"))?;
    let count = match bits & SINGLE {
        0 => bytes.varint()?,
        _ => 1,
    };
    if count > CellId::COUNT as u64 || (count < 2 && bits & SINGLE == 0) {
        return Err(DecodeError("a wrong number of cells"));
    }
    cells.clear();
    cells.reserve_exact(count as usize);
    for _ in 0..count {
        let (id, cell) = decode_cell(bytes)?;
        if cells.last().is_some_and(|(last, _)| *last >= id) {
            return Err(DecodeError("its cells are out of order"));
        }
        cells.push((id, cell));
    }
    Ok(MoveCounts { code, cells })
}

fn decode_cell(bytes: &mut Bytes<'_>) -> Result<(CellId, Cell), DecodeError> {
    let [id, head] = bytes.array()?;
    let id = CellId::from_bits(id).ok_or(DecodeError("a band that is none"))?;
    let (flags, shape) = (head / shape::COUNT, head % shape::COUNT);
    let (clock, eval) = (flags / 2, flags % 2);
    let [games, wins, draws] = match shape::results(shape) {
        Some(results) => results.map(u64::from),
        None => [bytes.varint()?, bytes.varint()?, bytes.varint()?],
    };
    // Numbers have one form: what could be written shorter was not written here.
    const LONG: DecodeError = DecodeError("a cell in a longer form than its own");
    let mut cell = Cell { games, wins, draws, ..Cell::default() };
    cell.expected_milli = (unzigzag(bytes.varint()?) as u64).wrapping_add(games.wrapping_mul(500));
    cell.clock_games = match clock {
        0 => 0,
        1 => games,
        2 => match bytes.varint()? {
            readings if readings == 0 || readings == games => return Err(LONG),
            readings => readings,
        },
        _ => return Err(DecodeError("a cell of an unknown kind")),
    };
    if clock > 0 {
        cell.clock_tenths = bytes.varint()?;
        cell.clock_tenths_sq = match cell.clock_games {
            1 => cell.clock_tenths.saturating_mul(cell.clock_tenths),
            _ => bytes.varint()?,
        };
    }
    if eval > 0 {
        cell.eval_games = bytes.varint()?;
        if cell.eval_games == 0 {
            return Err(LONG);
        }
        cell.eval_cp = unzigzag(bytes.varint()?);
    }
    match unsound(&cell) {
        Some(what) => Err(DecodeError(what)),
        None if shape == shape::WIDE && shape::of(games, wins, draws) != shape::WIDE => Err(LONG),
        None => Ok((id, cell)),
    }
}

/// More games, and more tenths of a second, than any cell holds: sums over a position's cells stay
/// within 63 bits.
const MOST_GAMES: u64 = 1 << 40;
const MOST_TENTHS: u64 = 1 << 52;

/// What no cell that was counted can look like.
pub(super) fn unsound(cell: &Cell) -> Option<&'static str> {
    let within = |part: u64, each: u64, games: u64| part <= each.saturating_mul(games);
    if cell.games == 0 {
        Some("a cell without games")
    } else if cell.games > MOST_GAMES {
        Some("more games than were ever played")
    } else if cell.wins.checked_add(cell.draws).is_none_or(|sum| sum > cell.games) {
        Some("more results than games")
    } else if !within(cell.expected_milli, 1000, cell.games) {
        Some("more points expected than games")
    } else if cell.clock_games > cell.games {
        Some("more clock readings than games")
    } else if !within(cell.clock_tenths, Record::MAX_TENTHS.into(), cell.clock_games)
        || cell.clock_tenths > MOST_TENTHS
    {
        Some("more time spent than a reading holds")
    } else if cell.eval_games > cell.games
        || !within(cell.eval_cp.unsigned_abs(), 1000, cell.eval_games)
    {
        Some("more evaluations than games")
    } else {
        None
    }
}
