//! One entry of the positions: checksum, opening, body; the layout is in [`super`].

use xxhash_rust::xxh3::xxh3_64_with_seed;

use super::codec::{Bytes, DecodeError, put_varint};
use crate::terms::Key;

/// The opening of an entry: its place in the dictionary and its tally.
pub(super) type OpeningRef = Option<(u32, u64)>;

const CHECKSUM: usize = 4;

/// Rests on the key and on the key before it, `None` for the first: so that neither can be
/// mistaken, and a gap between two entries that were written side by side is proved to be empty.
fn checksum(before: Option<Key>, key: Key, rest: &[u8]) -> [u8; CHECKSUM] {
    let before = before.map(|key| key.0.to_le_bytes());
    let seed = xxh3_64_with_seed(before.as_ref().map_or(&[], |bytes| &bytes[..]), key.0);
    (xxh3_64_with_seed(rest, seed) as u32).to_le_bytes()
}

/// Writes the entry into `out`, which is cleared first.
pub(super) fn seal(
    before: Option<Key>,
    key: Key,
    opening: OpeningRef,
    body: &[u8],
    out: &mut Vec<u8>,
) {
    out.clear();
    out.extend_from_slice(&[0; CHECKSUM]);
    match opening {
        None => put_varint(out, 0),
        Some((place, tally)) => {
            put_varint(out, u64::from(place) + 1);
            put_varint(out, tally);
        }
    }
    out.extend_from_slice(body);
    let sum = checksum(before, key, &out[CHECKSUM..]);
    out[..CHECKSUM].copy_from_slice(&sum);
}

/// The opening of an entry and where its body starts.
///
/// # Errors
/// When the checksum does not fit to the bytes, the key and the key before it.
pub(super) fn unseal(
    before: Option<Key>,
    key: Key,
    entry: &[u8],
) -> Result<(OpeningRef, usize), DecodeError> {
    let mut bytes = Bytes(entry);
    let stored = bytes.array()?;
    if stored != checksum(before, key, bytes.0) {
        return Err(DecodeError("its checksum does not fit"));
    }
    let opening = match bytes.varint()? {
        0 => None,
        place => {
            let place = u32::try_from(place - 1).map_err(|_| DecodeError("an unknown opening"))?;
            Some((place, bytes.varint()?))
        }
    };
    Ok((opening, entry.len() - bytes.0.len()))
}
