//! Why a store cannot be read or written.

use std::io;
use std::path::{Path, PathBuf};

use crate::source::plain;
use crate::terms::Key;

/// A store that cannot be used, with the place and what to do about it.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum StoreError {
    /// There is no file at the path.
    #[error("there is no store at '{}'{}", path.display(), remedy(path))]
    Missing {
        /// The path looked at.
        path: PathBuf,
    },
    /// The file is something else.
    #[error("'{}' is not a deadfall store: name the right file with --store", path.display())]
    NotAStore {
        /// The path looked at.
        path: PathBuf,
    },
    /// The store was written by another version with other bytes.
    #[error(
        "the store '{}' was made in format {found}, this program reads format {expected}: build \
         it again from the dumps, or use the version that wrote it",
        path.display()
    )]
    OtherFormat {
        /// The store.
        path: PathBuf,
        /// The format number found in it.
        found: u32,
        /// The format number of this program.
        expected: u32,
    },
    /// The bytes are not those that were written.
    #[error(
        "the store '{}' is damaged ({what}): build it again from the dumps or restore a copy",
        path.display()
    )]
    Damaged {
        /// The store.
        path: PathBuf,
        /// What was found.
        what: String,
    },
    /// Positions were handed over in the wrong order; a mistake of the program, not of the data.
    #[error(
        "position {key} came after {after} while writing the store '{}': this is a bug, \
         please report it",
        path.display()
    )]
    OutOfOrder {
        /// The store being written.
        path: PathBuf,
        /// The position that came too late.
        key: Key,
        /// The position written last.
        after: Key,
    },
    /// The system refused.
    #[error("cannot {doing} the store '{}': {}{}", path.display(), plain(source), hint(source))]
    Io {
        /// The store.
        path: PathBuf,
        /// What was tried: open, read, write.
        doing: &'static str,
        /// The reason.
        source: io::Error,
    },
}

/// A folder that is not there is a slip of the pen; else the store has not been built.
fn remedy(path: &Path) -> String {
    match path.parent().filter(|folder| !folder.as_os_str().is_empty() && !folder.is_dir()) {
        Some(folder) => format!(": there is no folder '{}'", folder.display()),
        None => format!(": build it first: deadfall build DUMP --store '{}'", path.display()),
    }
}

fn hint(source: &io::Error) -> &'static str {
    use io::ErrorKind::*;
    match source.kind() {
        StorageFull | QuotaExceeded | FileTooLarge => {
            " (make room, or choose a place with more of it with --store)"
        }
        PermissionDenied | ReadOnlyFilesystem => {
            " (allow it for this file and its folder, or choose another with --store)"
        }
        NotFound | NotADirectory => " (its folder must exist)",
        ResourceBusy => " (wait until the other program has finished)",
        _ => "",
    }
}
