//! What can go wrong with an engine.

use std::io;
use std::time::Duration;

use thiserror::Error;

/// An engine that is of no use. Each message is one line; the path is the caller's to name.
#[derive(Debug, Error)]
#[non_exhaustive]
pub enum EngineError {
    /// It cannot be started.
    #[error("it cannot be started: {0}")]
    Start(io::Error),
    /// It ended, or closed its output.
    #[error("it ended when asked for '{awaited}'")]
    Died {
        /// The word waited for.
        awaited: &'static str,
    },
    /// It did not answer in time.
    #[error("no '{awaited}' within {} s", .limit.as_secs_f64())]
    Silent {
        /// The word waited for.
        awaited: &'static str,
        /// How long was waited.
        limit: Duration,
    },
    /// The program was asked to stop meanwhile.
    #[error("stopped")]
    Stopped,
    /// It says what cannot be.
    #[error("its answer makes no sense: {what}")]
    Nonsense {
        /// What, in words.
        what: String,
    },
}
