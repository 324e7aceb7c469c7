//! Why a file cannot be written.

use std::io;
use std::path::{Path, PathBuf};

use thiserror::Error;

use crate::source::plain;

/// A file that was not written; what was in its place is as it was.
#[derive(Debug, Error)]
#[non_exhaustive]
pub enum FilesError {
    /// Another run holds the lock.
    #[error("another deadfall is writing {}: wait for it to end", .target.display())]
    Busy {
        /// What both want to write.
        target: PathBuf,
    },
    /// The lock's name is taken by something that is no lock.
    #[error(
        "cannot lock {}: {} is {what}; it stays as it is, move it away or write elsewhere",
        .target.display(), .lock.display()
    )]
    Foreign {
        /// What was to be written.
        target: PathBuf,
        /// What is in the way.
        lock: PathBuf,
        /// What it is.
        what: &'static str,
    },
    /// The place holds a folder, a device, a pipe.
    #[error("cannot write {}: it is {what}", .path.display())]
    NoFile {
        /// The place.
        path: PathBuf,
        /// What it is.
        what: &'static str,
    },
    /// The place holds a file that nobody, or not this user, may write to. A rename would ask the
    /// folder only.
    #[error(
        "cannot write {}: it is write-protected and stays as it is; allow writing to it, or choose another name",
        .path.display()
    )]
    Protected {
        /// The file.
        path: PathBuf,
    },
    /// Somebody else has put something into the place during the work.
    #[error("{} is not what it was when the work began; it stays as it is", .path.display())]
    Changed {
        /// The place.
        path: PathBuf,
    },
    /// Windows does not let go of a file that somebody has open.
    #[error("cannot replace {}: another program has it open; end that one and try again", .path.display())]
    InUse {
        /// The file.
        path: PathBuf,
    },
    /// The system refuses.
    #[error("cannot {doing} {}: {}", .path.display(), plain(.source))]
    Failed {
        /// What was tried.
        doing: &'static str,
        /// The file or folder.
        path: PathBuf,
        /// Why not.
        source: io::Error,
    },
}

/// Wraps an error of the file system with what was tried on what.
pub fn failed(doing: &'static str, path: &Path) -> impl FnOnce(io::Error) -> FilesError {
    let path = path.to_owned();
    move |source| FilesError::Failed { doing, path, source }
}
