//! What can go wrong in a build.

use std::path::{Path, PathBuf};

use thiserror::Error;

use crate::files::FilesError;
use crate::source::SourceError;
use crate::store::StoreError;

/// A build that did not happen. The store is as it was before.
#[derive(Debug, Error)]
#[non_exhaustive]
pub enum BuildError {
    /// A dump cannot be read.
    #[error(transparent)]
    Source(#[from] SourceError),
    /// The old store cannot be read or the new one not written.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// A dump that the store already holds.
    #[error("{dump} is already in {}{}; nothing was added", .store.display(), known_as(.dump, .known))]
    AlreadyIn {
        /// The dump as typed.
        dump: String,
        /// Its name in the ledger.
        known: String,
        /// The store.
        store: PathBuf,
    },
    /// The same dump twice in one build.
    #[error("{dump} and {other} are the same dump; nothing was added: name it once")]
    Twice {
        /// The later one.
        dump: String,
        /// The earlier one.
        other: String,
    },
    /// The store was built by other rules.
    #[error("{} was built with {option} {theirs}, this build has {option} {ours}: use the same value or another store", .store.display())]
    OtherRules {
        /// The option.
        option: &'static str,
        /// The store.
        store: PathBuf,
        /// Its value.
        theirs: String,
        /// This build's value.
        ours: String,
    },
    /// Two stores to join were built by different rules.
    #[error(
        "{} was built with {option} {ours}, {} with {option} {theirs}: stores by different rules cannot be joined",
        .store.display(), .other.display()
    )]
    RulesDiffer {
        /// The option.
        option: &'static str,
        /// One store.
        store: PathBuf,
        /// Its value.
        ours: String,
        /// The other store.
        other: PathBuf,
        /// Its value.
        theirs: String,
    },
    /// Two stores to join hold the same dump.
    #[error("{dump} is in {} and in {}: its games would count twice; nothing was joined", .store.display(), .other.display())]
    InBoth {
        /// The dump's name in the later store.
        dump: String,
        /// The earlier store.
        store: PathBuf,
        /// The later store.
        other: PathBuf,
    },
    /// A store is to be added to itself.
    #[error("{} is the store at --store, which counts in the join as it is: name only the others", .store.display())]
    IsTarget {
        /// The store as named among the inputs.
        store: PathBuf,
    },
    /// One store twice among those to join.
    #[error("{} and {} are one store: name it once", .store.display(), .other.display())]
    OneStore {
        /// The later name.
        store: PathBuf,
        /// The earlier one.
        other: PathBuf,
    },
    /// The disk is too small for the new store.
    #[error(
        "{} has {} MB free, the new store needs at least {} MB: make room, or choose another place with --store",
        .folder.display(), .free / 1_000_000, .wanted.div_ceil(1_000_000)
    )]
    NoRoom {
        /// Where the store is written.
        folder: PathBuf,
        /// Bytes free.
        free: u64,
        /// Bytes that are surely needed.
        wanted: u64,
    },
    /// The lock is not to be had, temporary files cannot be written or read back, or the store's
    /// place is taken.
    #[error(transparent)]
    Files(#[from] FilesError),
    /// Asked to stop.
    #[error("stopped; the store is as it was")]
    Interrupted,
    /// Asked to stop before there was any store.
    #[error("stopped; no store was made")]
    NothingMade,
}

impl BuildError {
    /// The same, if the store of the build was to be this one.
    pub(super) fn about(self, store: &Path) -> BuildError {
        match self {
            BuildError::Interrupted if !store.exists() => BuildError::NothingMade,
            other => other,
        }
    }

    /// The same, if what could not be written to `temporary` was to become this store.
    pub(super) fn on_the_way(self, temporary: &Path, store: &Path) -> BuildError {
        match self {
            BuildError::Store(StoreError::Io { path, doing, source }) if path == temporary => {
                StoreError::Io { path: store.to_owned(), doing, source }.into()
            }
            other => other,
        }
    }
}

fn known_as(dump: &str, known: &str) -> String {
    if dump == known || dump.ends_with(known) { String::new() } else { format!(" as {known}") }
}

/// Of two failures the one that is no mere consequence of the other.
pub(super) fn first_cause<A, B>(
    a: Result<A, BuildError>,
    b: Result<B, BuildError>,
) -> Result<(A, B), BuildError> {
    match (a, b) {
        (Ok(a), Ok(b)) => Ok((a, b)),
        (Err(BuildError::Interrupted), Err(cause)) | (Err(cause), _) | (Ok(_), Err(cause)) => {
            Err(cause)
        }
    }
}

/// What all threads have made, or of their failures the one that is no mere consequence of another.
pub(super) fn all_or_cause<T>(
    results: impl Iterator<Item = Result<T, BuildError>>,
) -> Result<Vec<T>, BuildError> {
    let mut all = Ok(Vec::new());
    // To the end, whatever fails: the cause may come last.
    for result in results {
        all = first_cause(all, result).map(|(mut all, one)| {
            all.push(one);
            all
        });
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn of_several_failures_the_cause_is_told_and_not_that_others_stopped() {
        let cause = || Err(BuildError::Twice { dump: "a".into(), other: "b".into() });
        let (fine, stopped) = (|| Ok(1), || Err(BuildError::Interrupted));
        for results in [
            [cause(), stopped(), fine()],
            [stopped(), fine(), cause()],
            [stopped(), cause(), stopped()],
        ] {
            let told = all_or_cause(results.into_iter());
            assert!(matches!(told, Err(BuildError::Twice { .. })), "{told:?}");
        }
        let told = all_or_cause([fine(), stopped()].into_iter());
        assert!(matches!(told, Err(BuildError::Interrupted)), "{told:?}");
        assert_eq!(all_or_cause([fine(), fine()].into_iter()).ok(), Some(vec![1, 1]));
    }
}
