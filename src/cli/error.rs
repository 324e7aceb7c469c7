//! Everything that ends a command early, and the exit status it means.

use std::io;
use std::path::PathBuf;

use thiserror::Error;

use crate::extract::ExtractError;
use crate::files::FilesError;
use crate::importer::BuildError;
use crate::source::{SourceError, plain};
use crate::store::StoreError;

/// The exit status of a program that was asked to end.
pub const STOPPED: u8 = 130;

/// A command that failed.
#[derive(Debug, Error)]
pub enum CliError {
    /// Options and arguments that do not fit together.
    #[error("{0}")]
    Usage(String),
    /// A line, position or PGN that cannot be used.
    #[error("{0}")]
    Input(String),
    /// A dump.
    #[error(transparent)]
    Source(#[from] SourceError),
    /// A build.
    #[error(transparent)]
    Build(#[from] BuildError),
    /// The store.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// A file that was to be written.
    #[error("{0}")]
    File(String),
    /// Writing the answer.
    #[error("cannot write the answer: {}", plain(.0))]
    Output(#[from] io::Error),
    /// The place of a file that was to be written.
    #[error(transparent)]
    Files(#[from] FilesError),
    /// A file to be written beside the answer.
    #[error("cannot write {}: {}", .path.display(), plain(.error))]
    OutFile {
        /// The path as given.
        path: PathBuf,
        /// Why.
        error: io::Error,
    },
    /// Asked to stop.
    #[error("stopped")]
    Interrupted,
}

impl CliError {
    /// Bad input, in the words of the code that read it.
    pub fn input(error: impl std::fmt::Display) -> CliError {
        CliError::Input(error.to_string())
    }

    /// The exit status.
    pub fn exit_code(&self) -> u8 {
        match self {
            CliError::Usage(_) => 2,
            CliError::Input(_) | CliError::Source(_) => 3,
            CliError::Store(_)
            | CliError::File(_)
            | CliError::Files(_)
            | CliError::Output(_)
            | CliError::OutFile { .. } => 4,
            CliError::Interrupted => STOPPED,
            CliError::Build(error) => match error {
                BuildError::OtherRules { .. }
                | BuildError::RulesDiffer { .. }
                | BuildError::IsTarget { .. }
                | BuildError::OneStore { .. } => 2,
                BuildError::Source(_)
                | BuildError::AlreadyIn { .. }
                | BuildError::InBoth { .. }
                | BuildError::Twice { .. } => 3,
                BuildError::Interrupted | BuildError::NothingMade => STOPPED,
                _ => 4,
            },
        }
    }

    /// Whether a reader of the answer has gone away, which is its own business.
    pub fn is_closed_pipe(&self) -> bool {
        matches!(self, CliError::Output(error) if error.kind() == io::ErrorKind::BrokenPipe)
    }
}

impl From<ExtractError> for CliError {
    fn from(error: ExtractError) -> CliError {
        match error {
            ExtractError::Source(error) => CliError::Source(error),
            ExtractError::Output(error) => CliError::Output(error),
            ExtractError::NoSuchStudent { .. } | ExtractError::TooManyGames { .. } => {
                CliError::input(error)
            }
            ExtractError::Interrupted => CliError::Interrupted,
        }
    }
}
