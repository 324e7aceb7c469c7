//! The totals as bytes and back; the layout is in [`crate::store`].
//!
//! Every answer needs them, and most of them are games by group: as text they took longer to read
//! than all else of a small answer.

use shakmaty::Color;

use super::codec::{BitReader, BitWriter};
use super::codec::{Bytes, DecodeError, put_varint, unsound};
use crate::counts::{Cell, Total, Totals};
use crate::terms::CellId;

/// All totals with games.
pub(super) fn encode(totals: &Totals) -> Vec<u8> {
    let mut out = Vec::new();
    put_varint(&mut out, totals.totals().count() as u64);
    for (colour, id, Total { cell, expected_sq, expected_result, .. }) in totals.totals() {
        out.extend([u8::from(colour.is_black()), id.bits()]);
        let sums = [cell.games, cell.wins, cell.draws, cell.expected_milli];
        sums.iter()
            .chain([expected_sq, expected_result])
            .for_each(|sum| put_varint(&mut out, *sum));
    }
    let mut writer = BitWriter::new(&mut out);
    for (_, _, total) in totals.totals() {
        writer.cell(total.cell.games, &mut total.groups.occurring());
    }
    writer.finish();
    out
}

/// Back from [`encode`].
///
/// # Errors
/// For any bytes that it does not write.
pub(super) fn decode(bytes: &[u8]) -> Result<Totals, DecodeError> {
    const UNSOUND: DecodeError = DecodeError("totals that cannot have been counted");
    let mut bytes = Bytes(bytes);
    let count = bytes.varint()?;
    if count > 2 * CellId::COUNT as u64 {
        return Err(UNSOUND);
    }
    let (mut rows, mut totals) = (Vec::<(u8, CellId)>::new(), Totals::default());
    for _ in 0..count {
        let [black, id] = bytes.array()?;
        let id = CellId::from_bits(id).ok_or(UNSOUND)?;
        let in_order = rows.last().is_none_or(|last| *last < (black, id));
        let total = sums(&mut bytes)?;
        if black > 1 || !in_order || !is_sound(&total) {
            return Err(UNSOUND);
        }
        *totals.total_mut(Color::from_black(black == 1), id) = total;
        rows.push((black, id));
    }
    let mut reader = BitReader::new(bytes.0);
    for (black, id) in rows {
        let Total { cell, groups, .. } = totals.total_mut(Color::from_black(black == 1), id);
        reader.cell(cell.games, |group, games| groups.add(group, games))?;
    }
    reader.finish()?;
    Ok(totals)
}

/// The next total but for its games by group.
fn sums(bytes: &mut Bytes<'_>) -> Result<Total, DecodeError> {
    let [games, wins, draws] = [bytes.varint()?, bytes.varint()?, bytes.varint()?];
    let cell = Cell { games, wins, draws, expected_milli: bytes.varint()?, ..Cell::default() };
    let (expected_sq, expected_result) = (bytes.varint()?, bytes.varint()?);
    Ok(Total { cell, expected_sq, expected_result, ..Total::default() })
}

fn is_sound(Total { cell, expected_sq, expected_result, .. }: &Total) -> bool {
    // Of one game no more than a point is expected, nor more than one made.
    let most = cell.expected_milli.saturating_mul(1000);
    unsound(cell).is_none() && *expected_sq <= most && *expected_result <= most
}
