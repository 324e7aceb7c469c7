//! A request to stop, seen by all threads.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use super::BuildError;
use crate::source::SourceError;

/// Set once, by a signal or by the first thread that fails.
#[derive(Clone, Debug, Default)]
pub struct Stop(Arc<AtomicBool>);

impl Stop {
    /// Asks all threads to stop.
    pub fn set(&self) {
        self.0.store(true, Ordering::Relaxed);
    }

    /// Whether to stop.
    pub fn is_set(&self) -> bool {
        self.0.load(Ordering::Relaxed)
    }

    /// What readers of pipes look at while they wait.
    pub fn flag(&self) -> Arc<AtomicBool> {
        Arc::clone(&self.0)
    }

    /// Why reading failed: if asked to stop, that is no fault of the dump.
    pub(super) fn or(&self, error: SourceError) -> BuildError {
        self.check().err().unwrap_or(BuildError::Source(error))
    }

    /// [`BuildError::Interrupted`] if asked to stop.
    pub(super) fn check(&self) -> Result<(), BuildError> {
        if self.is_set() { Err(BuildError::Interrupted) } else { Ok(()) }
    }
}
