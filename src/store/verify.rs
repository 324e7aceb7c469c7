//! Checking a store through, from the pages up to the sums.

use std::fs::File;
use std::path::Path;

use redb::Builder;

use super::fence::{fenced, refused};
use super::overlay::Overlay;
use super::{Store, StoreError};

/// Pages kept in memory while checking, in bytes.
const CACHE: usize = 64 << 20;

/// How many findings are written out.
const MOST_FINDINGS: usize = 10;

/// What a check of the whole store found.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Report {
    /// Positions that are sound.
    pub positions: u64,
    /// Their cells.
    pub cells: u64,
    /// Their games.
    pub visits: u64,
    /// What is damaged, the first ten findings.
    pub findings: Vec<String>,
    /// How much more is damaged.
    pub more: u64,
}

impl Report {
    /// Whether nothing is damaged.
    pub fn is_sound(&self) -> bool {
        self.findings.is_empty()
    }

    fn note(&mut self, what: String) {
        // Pages and entries may tell of one and the same.
        if self.findings.contains(&what) {
            return;
        }
        if self.findings.len() < MOST_FINDINGS {
            self.findings.push(what);
        } else {
            self.more += 1;
        }
    }

    /// Notes damage; any other error ends the check.
    fn note_damage(&mut self, error: StoreError) -> Result<(), StoreError> {
        match error {
            StoreError::Damaged { what, .. } => {
                self.note(what);
                Ok(())
            }
            other => Err(other),
        }
    }
}

/// Reads the whole store twice: once page by page against redb's checksums, once entry by entry
/// against our own and every invariant in [`crate::store`]. The file is not changed.
///
/// # Errors
/// Those of [`Store::open`]; damage behind that is in the report.
pub fn verify(path: &Path) -> Result<Report, StoreError> {
    let store = Store::open(path)?;
    let mut report = Report::default();
    if let Err(error) = check_pages(path) {
        report.note_damage(error)?;
    }
    check_positions(&store, &mut report)?;
    if report.is_sound() {
        check_sums(&store, &mut report);
    }
    Ok(report)
}

fn check_pages(path: &Path) -> Result<(), StoreError> {
    let file = File::open(path).map_err(|source| refused(path, "open", source))?;
    let overlay = Overlay::new(file).map_err(|source| refused(path, "open", source))?;
    fenced(path, "read", || {
        let mut builder = Builder::new();
        builder.set_cache_size(CACHE).set_check_integrity_on_open(true);
        Ok(builder.create_with_backend(overlay)?.close()?)
    })
}

fn check_positions(store: &Store, report: &mut Report) -> Result<(), StoreError> {
    if let Err(error) = store.openings() {
        report.note_damage(error)?;
    }
    let mut walk = store.positions_raw();
    while let Some(raw) = walk.advance() {
        match raw.and_then(|raw| raw.counts()) {
            Ok(position) => {
                report.positions += 1;
                report.visits += position.games();
                report.cells += position.moves.iter().map(|mv| mv.cells.len() as u64).sum::<u64>();
            }
            Err(error) => report.note_damage(error)?,
        }
    }
    Ok(())
}

fn check_sums(store: &Store, report: &mut Report) {
    let summary = store.summary();
    if (report.cells, report.visits) != (summary.cells, summary.visits) {
        let what = format!(
            "{} cells with {} games instead of the {} with {} written",
            report.cells, report.visits, summary.cells, summary.visits
        );
        report.note(what);
    }
    let header = store.header();
    if header.visits_kept() != Some(report.visits) {
        let what = format!(
            "its positions hold {} games, {} counted less {} dropped were to be there",
            report.visits, header.visits, header.visits_dropped
        );
        report.note(what);
    }
}
