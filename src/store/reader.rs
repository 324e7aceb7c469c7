//! An open store.

use std::fs::File;
use std::io::{ErrorKind, Read};
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

use redb::{Builder, ReadOnlyTable, ReadableDatabase, ReadableTableMetadata, TableError};
use serde::de::DeserializeOwned;

use super::codec::DecodeError;
use super::fence::{damaged, fenced, refused};
use super::schema::{self, ABOUT, POSITIONS};
use super::{Header, StoreError, Summary, totals};
use crate::counts::{Limits, OpeningTag};
use crate::terms::Key;

mod look_up;

/// Pages of the file kept in memory, in bytes: the inner ones of the tree and some more. The system
/// keeps the file itself; a copy of it that is larger than the processor's caches is slower to keep
/// than to read again.
const CACHE: usize = 4 << 20;

type About = ReadOnlyTable<&'static str, &'static [u8]>;
type Positions = ReadOnlyTable<u64, &'static [u8]>;

/// A store opened for reading; several programs and threads may read one at a time.
pub struct Store {
    path: PathBuf,
    about: About,
    positions: Positions,
    header: Header,
    summary: Summary,
    limits: Limits,
    openings: OnceLock<Vec<OpeningTag>>,
}

impl Store {
    /// Opens a store. Reads a few pages, whatever its size.
    ///
    /// # Errors
    /// Every [`StoreError`] but [`StoreError::OutOfOrder`].
    pub fn open(path: &Path) -> Result<Store, StoreError> {
        Store::open_cached(path, CACHE)
    }

    /// Opens a store and keeps at most `cache` bytes of its pages in memory.
    ///
    /// # Errors
    /// As [`Store::open`].
    pub fn open_cached(path: &Path, cache: usize) -> Result<Store, StoreError> {
        check_file(path)?;
        let Some((about, positions)) = open_tables(path, cache)? else {
            return Err(StoreError::NotAStore { path: path.to_owned() });
        };
        check_format(path, &about)?;
        let mut header: Header = read_entry(path, &about, schema::HEADER_ENTRY)?;
        if !header.sources.iter().all(|source| source.games.adds_up()) {
            return Err(damaged(path, "the games of a source do not add up"));
        }
        header.totals =
            read_sealed(path, &about, schema::TOTALS_ENTRY, |bytes| totals::decode(bytes).ok())?;
        let summary: Summary = read_entry(path, &about, schema::SUMMARY_ENTRY)?;
        if fenced(path, "open", || Ok(positions.len()?))? != summary.positions {
            return Err(damaged(path, "it has another number of positions than were written"));
        }
        let limits = header.limits();
        let path = path.to_owned();
        let openings = OnceLock::new();
        Ok(Store { path, about, positions, header, summary, limits, openings })
    }

    /// What was counted, and from what.
    pub fn header(&self) -> &Header {
        &self.header
    }

    /// What the writer saw go by.
    pub fn summary(&self) -> &Summary {
        &self.summary
    }

    /// Where the store lies.
    pub fn path(&self) -> &Path {
        &self.path
    }

    pub(super) fn table(&self) -> &Positions {
        &self.positions
    }

    /// The dictionary of opening tags, read when first asked for.
    pub(super) fn openings(&self) -> Result<&[OpeningTag], StoreError> {
        if let Some(openings) = self.openings.get() {
            return Ok(openings);
        }
        let rows: Vec<(String, String)> =
            read_entry(&self.path, &self.about, schema::OPENINGS_ENTRY)?;
        let tags = rows.into_iter().map(|(eco, name)| OpeningTag { eco, name }).collect();
        Ok(self.openings.get_or_init(|| tags))
    }

    pub(super) fn broken(&self, key: Key, error: DecodeError) -> StoreError {
        damaged(&self.path, format!("position {key}: {error}"))
    }
}

/// Whether the path is a file that redb wrote.
fn check_file(path: &Path) -> Result<(), StoreError> {
    let not_a_store = || StoreError::NotAStore { path: path.to_owned() };
    let metadata = path.metadata().map_err(|source| match source.kind() {
        ErrorKind::NotFound => StoreError::Missing { path: path.to_owned() },
        _ => refused(path, "open", source),
    })?;
    if !metadata.is_file() {
        return Err(not_a_store());
    }
    let mut head = [0; schema::REDB_MAGIC.len()];
    let mut file = File::open(path).map_err(|source| refused(path, "open", source))?;
    match file.read_exact(&mut head) {
        Ok(()) if head == schema::REDB_MAGIC => Ok(()),
        Ok(()) => Err(not_a_store()),
        Err(error) if error.kind() == ErrorKind::UnexpectedEof => Err(not_a_store()),
        Err(source) => Err(refused(path, "read", source)),
    }
}

/// Whether a file begins as stores do, whole or damaged; no file does not.
pub fn looks_like_a_store(path: &Path) -> bool {
    check_file(path).is_ok()
}

/// The tables of a store; `None` if the file has other ones.
fn open_tables(path: &Path, cache: usize) -> Result<Option<(About, Positions)>, StoreError> {
    fenced(path, "open", || {
        let database = Builder::new().set_cache_size(cache).open_read_only(path)?;
        let snapshot = database.begin_read()?;
        match snapshot.open_table(ABOUT) {
            Ok(about) => Ok(Some((about, snapshot.open_table(POSITIONS)?))),
            Err(TableError::Storage(error)) => Err(error.into()),
            Err(_) => Ok(None),
        }
    })
}

fn check_format(path: &Path, about: &About) -> Result<(), StoreError> {
    let text = entry_bytes(path, about, schema::FORMAT_ENTRY)?;
    match schema::format_of(&text) {
        Some(schema::FORMAT) => Ok(()),
        Some(found) => {
            let expected = schema::FORMAT;
            Err(StoreError::OtherFormat { path: path.to_owned(), found, expected })
        }
        None => Err(damaged(path, "its format number cannot be read")),
    }
}

fn entry_bytes(path: &Path, about: &About, name: &str) -> Result<Vec<u8>, StoreError> {
    fenced(path, "read", || Ok(about.get(name)?.map(|entry| entry.value().to_vec())))?
        .ok_or_else(|| damaged(path, format!("its entry '{name}' is missing")))
}

fn read_entry<T: DeserializeOwned>(
    path: &Path,
    about: &About,
    name: &str,
) -> Result<T, StoreError> {
    read_sealed(path, about, name, |json| serde_json::from_slice(json).ok())
}

/// Makes something of the content of a sealed entry.
fn read_sealed<T>(
    path: &Path,
    about: &About,
    name: &str,
    make: impl Fn(&[u8]) -> Option<T>,
) -> Result<T, StoreError> {
    let bytes = entry_bytes(path, about, name)?;
    schema::unseal(name, &bytes)
        .and_then(make)
        .ok_or_else(|| damaged(path, format!("its entry '{name}' cannot be read")))
}
