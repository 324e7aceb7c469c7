//! A fence around redb: it trusts its own pages, and panics on some that are damaged.

use std::cell::Cell;
use std::io;
use std::panic::{self, AssertUnwindSafe};
use std::path::Path;
use std::sync::Once;

use super::StoreError;

/// What is said of all damage that redb notices: its own words are about its insides.
const CONTRADICTION: &str = "its pages contradict each other";

thread_local! {
    static FENCED: Cell<bool> = const { Cell::new(false) };
}

/// Runs calls of redb for the store at `path`; a panic inside is a damaged store, and silent.
///
/// `doing` is the verb of the error: open, read, write. Values that the closure touched are not to
/// be used again after an error, but for being dropped.
pub(super) fn fenced<T>(
    path: &Path,
    doing: &'static str,
    calls: impl FnOnce() -> Result<T, redb::Error>,
) -> Result<T, StoreError> {
    silence_fenced_panics();
    let outside = FENCED.replace(true);
    let result = panic::catch_unwind(AssertUnwindSafe(calls));
    FENCED.set(outside);
    match result {
        Ok(Ok(value)) => Ok(value),
        Ok(Err(error)) => Err(explain(path, doing, error)),
        Err(_) => Err(damaged(path, CONTRADICTION)),
    }
}

/// Puts a hook before the one in place that holds back the messages of fenced panics only.
fn silence_fenced_panics() {
    static ONCE: Once = Once::new();
    ONCE.call_once(|| {
        let former = panic::take_hook();
        panic::set_hook(Box::new(move |info| {
            if !FENCED.get() {
                former(info);
            }
        }));
    });
}

pub(super) fn damaged(path: &Path, what: impl Into<String>) -> StoreError {
    StoreError::Damaged { path: path.to_owned(), what: what.into() }
}

/// The error of a file operation of our own.
pub(super) fn refused(path: &Path, doing: &'static str, source: io::Error) -> StoreError {
    StoreError::Io { path: path.to_owned(), doing, source }
}

fn explain(path: &Path, doing: &'static str, error: redb::Error) -> StoreError {
    use io::ErrorKind::{InvalidData, InvalidInput, ResourceBusy, UnexpectedEof};
    match error {
        redb::Error::Io(source) => match source.kind() {
            UnexpectedEof => damaged(path, "it is cut short"),
            InvalidData | InvalidInput if doing != "write" => damaged(path, CONTRADICTION),
            _ => refused(path, doing, source),
        },
        redb::Error::DatabaseAlreadyOpen => {
            refused(path, doing, io::Error::new(ResourceBusy, "another program is writing to it"))
        }
        redb::Error::RepairAborted => damaged(path, "it was not closed properly"),
        _ => damaged(path, CONTRADICTION),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_panic_inside_is_a_damaged_store() {
        let result = fenced::<()>(Path::new("x.redb"), "read", || panic!("a broken page"));
        assert!(matches!(result, Err(StoreError::Damaged { .. })));
    }

    #[test]
    fn the_fence_ends_with_the_call() {
        let inside = fenced(Path::new("x.redb"), "read", || Ok(FENCED.get()));
        assert!(inside.expect("no panic") && !FENCED.get());
        let _ = fenced::<()>(Path::new("x.redb"), "read", || panic!("a broken page"));
        assert!(!FENCED.get());
    }

    #[test]
    fn a_full_disk_is_not_a_damaged_store() {
        let full = io::Error::from(io::ErrorKind::StorageFull);
        let error = explain(Path::new("x.redb"), "write", redb::Error::Io(full));
        assert!(
            error
                .to_string()
                .starts_with("cannot write the store 'x.redb': no storage space (make room")
        );
    }
}
