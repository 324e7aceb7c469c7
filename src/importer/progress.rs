//! How far a build has come, for the user.

use std::path::PathBuf;
use std::sync::atomic::{AtomicU64, AtomicUsize, Ordering::Relaxed};
use std::sync::{Arc, Mutex, PoisonError};

use crate::files::Left;

/// What a build is doing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Phase {
    /// Reading dumps.
    Reading,
    /// Merging runs into fewer, longer ones.
    Shortening,
    /// Merging what was counted and writing the store.
    Merging,
    /// Making the store durable.
    Writing,
}

/// A place that has perhaps too little room.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Tight {
    /// The folder.
    pub folder: PathBuf,
    /// Bytes free there.
    pub free: u64,
    /// Bytes that may be needed there.
    pub wanted: u64,
}

/// Counters that the threads of a build add to and a display reads.
#[derive(Debug, Default)]
pub struct Progress {
    raw_bytes: Arc<AtomicU64>,
    text_bytes: AtomicU64,
    games: AtomicU64,
    file: AtomicUsize,
    merged: AtomicUsize,
    phase: AtomicUsize,
    tight: Mutex<Vec<Tight>>,
    left: Mutex<Vec<Left>>,
}

impl Progress {
    /// Compressed bytes read so far.
    pub fn raw_bytes(&self) -> u64 {
        self.raw_bytes.load(Relaxed)
    }

    pub(super) fn raw_bytes_counter(&self) -> Arc<AtomicU64> {
        Arc::clone(&self.raw_bytes)
    }

    /// Decompressed bytes read so far.
    pub fn text_bytes(&self) -> u64 {
        self.text_bytes.load(Relaxed)
    }

    pub(super) fn set_text_bytes(&self, bytes: u64) {
        self.text_bytes.store(bytes, Relaxed);
    }

    /// Games read so far.
    pub fn games(&self) -> u64 {
        self.games.load(Relaxed)
    }

    pub(super) fn add_games(&self, games: u64) {
        self.games.fetch_add(games, Relaxed);
    }

    /// Which dump is being read, from 0.
    pub fn file(&self) -> usize {
        self.file.load(Relaxed)
    }

    pub(super) fn set_file(&self, file: usize) {
        self.file.store(file, Relaxed);
    }

    /// Which part of all partitions is merged, 0 to 1.
    pub fn merged(&self) -> f64 {
        self.merged.load(Relaxed) as f64 / super::partitions::PARTITIONS as f64
    }

    pub(super) fn add_merged(&self) {
        self.merged.fetch_add(1, Relaxed);
    }

    /// Places that have perhaps too little room; each is reported once.
    pub fn take_tight(&self) -> Vec<Tight> {
        std::mem::take(&mut *self.tight.lock().unwrap_or_else(PoisonError::into_inner))
    }

    pub(super) fn note_tight(&self, tight: Tight) {
        self.tight.lock().unwrap_or_else(PoisonError::into_inner).push(tight);
    }

    /// Working folders that stay though their runs have ended; each is reported once.
    pub fn take_left(&self) -> Vec<Left> {
        std::mem::take(&mut *self.left.lock().unwrap_or_else(PoisonError::into_inner))
    }

    pub(super) fn note_left(&self, left: Vec<Left>) {
        self.left.lock().unwrap_or_else(PoisonError::into_inner).extend(left);
    }

    /// What is being done.
    pub fn phase(&self) -> Phase {
        [Phase::Reading, Phase::Shortening, Phase::Merging, Phase::Writing]
            [self.phase.load(Relaxed)]
    }

    pub(super) fn set_phase(&self, phase: Phase) {
        self.phase.store(phase as usize, Relaxed);
    }
}
