//! Tables, names and the format number; the layout is in [`crate::store`].

use redb::TableDefinition;
use xxhash_rust::xxh3::{xxh3_64, xxh3_64_with_seed};

/// The number of the format that this program reads and writes.
pub const FORMAT: u32 = 2;

/// What the store is about; its name marks the file as a store.
pub(super) const ABOUT: TableDefinition<'static, &str, &[u8]> = TableDefinition::new("deadfall");
/// One entry a position.
pub(super) const POSITIONS: TableDefinition<'static, u64, &[u8]> =
    TableDefinition::new("positions");

pub(super) const FORMAT_ENTRY: &str = "format";
pub(super) const HEADER_ENTRY: &str = "header";
pub(super) const TOTALS_ENTRY: &str = "totals";
pub(super) const SUMMARY_ENTRY: &str = "summary";
pub(super) const OPENINGS_ENTRY: &str = "openings";

/// The first bytes of every redb file.
pub(super) const REDB_MAGIC: [u8; 9] = *b"redb\x1a\x0a\xa9\x0d\x0a";

const FORMAT_PREFIX: &str = "deadfall store, format ";

/// The text of the format entry.
pub(super) fn format_text(format: u32) -> String {
    format!("{FORMAT_PREFIX}{format}")
}

/// The format number in the text of the format entry.
pub(super) fn format_of(text: &[u8]) -> Option<u32> {
    std::str::from_utf8(text).ok()?.strip_prefix(FORMAT_PREFIX)?.parse().ok()
}

const SEAL: usize = 8;

fn checksum(name: &str, content: &[u8]) -> [u8; SEAL] {
    xxh3_64_with_seed(content, xxh3_64(name.as_bytes())).to_le_bytes()
}

/// Puts the checksum before the content of an entry.
pub(super) fn seal(name: &str, content: &[u8]) -> Vec<u8> {
    [&checksum(name, content), content].concat()
}

/// The content behind the checksum, `None` if they do not fit.
pub(super) fn unseal<'a>(name: &str, sealed: &'a [u8]) -> Option<&'a [u8]> {
    let (sum, content) = sealed.split_first_chunk()?;
    (*sum == checksum(name, content)).then_some(content)
}
