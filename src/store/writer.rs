//! Writing a store in one go.

use std::collections::HashMap;
use std::fs::{self, File};
use std::ops::Bound;
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::AtomicBool;

use redb::backends::FileBackend;
use redb::{Builder, CursorMut, WriteTransaction};
use serde::Serialize;

use super::codec::BodyHead;
use super::entry;
use super::fence::{fenced, refused};
use super::schema::{self, ABOUT, POSITIONS};
use super::stoppable::Stoppable;
use super::{Header, StoreError, Summary, totals};
use crate::counts::{Opening, OpeningTag};
use crate::terms::Key;

/// What was written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Written {
    /// Positions, cells and visits.
    pub summary: Summary,
    /// Length of the file in bytes.
    pub file_bytes: u64,
}

/// Writes a new store: `fill` pushes all positions in ascending order and returns the header,
/// and what else it came to. The store is wholly on the disk when this returns, and removed
/// when it fails, which it does once `stop` is set. At most `cache` bytes of pages are held
/// back on the way.
///
/// `path` must not exist: write beside the final place, then rename.
///
/// # Errors
/// Those of `fill`; [`StoreError::Io`] where the disk is full or may not be written to.
pub fn write_store<T, E: From<StoreError>>(
    path: &Path,
    cache: usize,
    stop: &Arc<AtomicBool>,
    fill: impl FnOnce(&mut PositionSink<'_>) -> Result<(Header, T), E>,
) -> Result<(Written, T), E> {
    let file = File::create_new(path).map_err(|source| refused(path, "write", source))?;
    let written = write_into(file, path, cache, stop, fill);
    if written.is_err() {
        // The error that led here says more than one about a leftover would.
        let _ = fs::remove_file(path);
    }
    written
}

fn write_into<T, E: From<StoreError>>(
    file: File,
    path: &Path,
    cache: usize,
    stop: &Arc<AtomicBool>,
    fill: impl FnOnce(&mut PositionSink<'_>) -> Result<(Header, T), E>,
) -> Result<(Written, T), E> {
    let mut database = fenced(path, "write", || {
        let backend = Stoppable { file: FileBackend::new(file)?, stop: Arc::clone(stop) };
        Ok(Builder::new().set_cache_size(cache).create_with_backend(backend)?)
    })?;
    let transaction = fenced(path, "write", || Ok(database.begin_write()?))?;
    let (header, filled, summary, openings) = {
        let mut table = fenced(path, "write", || Ok(transaction.open_table(POSITIONS)?))?;
        let cursor = fenced(path, "write", || Ok(table.upper_bound_mut(Bound::<u64>::Unbounded)?))?;
        let mut sink = PositionSink::new(path, cursor);
        let (header, filled) = fill(&mut sink)?;
        let (summary, openings) = sink.finish()?;
        (header, filled, summary, openings)
    };
    let rows: Vec<(&str, &str)> =
        openings.iter().map(|tag| (tag.eco.as_str(), tag.name.as_str())).collect();
    write_about(path, &transaction, schema::FORMAT, &header, &summary, &rows)?;
    fenced(path, "write", || {
        transaction.commit()?;
        // A file that grows by doubling gets its last pages anywhere in the new half: a million
        // positions took 143 bytes each and 93 after this, for a fraction of a microsecond each.
        database.compact()?;
        Ok(database.close()?)
    })?;
    let metadata = path.metadata().map_err(|source| refused(path, "read", source))?;
    Ok((Written { summary, file_bytes: metadata.len() }, filled))
}

pub(super) fn write_about(
    path: &Path,
    transaction: &WriteTransaction,
    format: u32,
    header: &Header,
    summary: &Summary,
    openings: &[(&str, &str)],
) -> Result<(), StoreError> {
    let entries = [
        (schema::HEADER_ENTRY, json(header)),
        (schema::TOTALS_ENTRY, totals::encode(&header.totals)),
        (schema::SUMMARY_ENTRY, json(summary)),
        (schema::OPENINGS_ENTRY, json(openings)),
    ];
    fenced(path, "write", || {
        let mut about = transaction.open_table(ABOUT)?;
        about.insert(schema::FORMAT_ENTRY, schema::format_text(format).as_bytes())?;
        for (name, content) in &entries {
            about.insert(*name, schema::seal(name, content).as_slice())?;
        }
        Ok(())
    })
}

fn json<T: Serialize + ?Sized>(value: &T) -> Vec<u8> {
    serde_json::to_vec(value).expect("numbers, texts and lists of them are JSON")
}

/// Takes the positions of a new store.
pub struct PositionSink<'a> {
    path: &'a Path,
    cursor: CursorMut<'a, u64, &'static [u8]>,
    summary: Summary,
    openings: Vec<OpeningTag>,
    places: HashMap<OpeningTag, u32>,
    entry: Vec<u8>,
}

impl<'a> PositionSink<'a> {
    fn new(path: &'a Path, cursor: CursorMut<'a, u64, &'static [u8]>) -> PositionSink<'a> {
        PositionSink {
            path,
            cursor,
            summary: Summary::default(),
            openings: Vec::new(),
            places: HashMap::new(),
            entry: Vec::new(),
        }
    }

    /// Adds a position after all others, with a body of [`super::codec::encode_body`] and the head
    /// that it starts with.
    ///
    /// # Errors
    /// [`StoreError::OutOfOrder`] unless the key is larger than the last one; [`StoreError::Io`].
    pub fn push(
        &mut self,
        key: Key,
        head: BodyHead,
        body: &[u8],
        opening: Option<&Opening>,
    ) -> Result<(), StoreError> {
        let before = self.summary.last_key.map(Key);
        if let Some(after) = before.filter(|&before| before >= key) {
            return Err(StoreError::OutOfOrder { path: self.path.to_owned(), key, after });
        }
        let opening = opening.map(|opening| (self.place_of(&opening.tag), opening.tally));
        entry::seal(before, key, opening, body, &mut self.entry);
        let (cursor, entry) = (&mut self.cursor, self.entry.as_slice());
        fenced(self.path, "write", || Ok(cursor.insert_before(key.0, entry)?))?;
        self.summary.positions += 1;
        self.summary.cells += head.cells;
        self.summary.visits += head.games;
        self.summary.last_key = Some(key.0);
        Ok(())
    }

    fn place_of(&mut self, tag: &OpeningTag) -> u32 {
        if let Some(&place) = self.places.get(tag) {
            return place;
        }
        let place = u32::try_from(self.openings.len()).expect("fewer tags than fit into memory");
        self.openings.push(tag.clone());
        self.places.insert(tag.clone(), place);
        place
    }

    fn finish(self) -> Result<(Summary, Vec<OpeningTag>), StoreError> {
        let cursor = self.cursor;
        fenced(self.path, "write", || Ok(cursor.close()?))?;
        Ok((self.summary, self.openings))
    }
}
