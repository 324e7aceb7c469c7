//! What ends an extraction early.

use std::io;

use thiserror::Error;

use crate::source::SourceError;

/// Why games could not be extracted.
#[derive(Debug, Error)]
#[non_exhaustive]
pub enum ExtractError {
    /// A dump.
    #[error(transparent)]
    Source(#[from] SourceError),
    /// Writing the games.
    #[error(transparent)]
    Output(io::Error),
    /// Asked to stop.
    #[error("stopped")]
    Interrupted,
}
