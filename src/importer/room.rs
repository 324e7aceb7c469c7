//! Room on the disk, looked at before the long work.

use std::path::{Path, PathBuf};

use super::{BuildError, Plan, Progress};
use crate::files::{Workspace, folder_of};
use crate::source::Place;
use crate::store::Store;

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

/// Bytes that a build is going to write.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
struct Needs {
    /// For a store that adds to these it is sure to need.
    surely: u64,
    /// For the store if all goes as usual.
    store: u64,
    /// For runs.
    runs: u64,
}

/// Compares the room with what the work needs: too little for certain is an error, perhaps too
/// little is noted for whoever watches.
pub(super) fn check(
    plan: &Plan,
    workspace: &Workspace,
    old: &[Store],
    progress: &Progress,
) -> Result<(), BuildError> {
    let needs = needs(plan, old);
    let (stores, runs) = (folder_of(workspace.target()), folder_of(workspace.runs_folder()));
    let [here, there] = [stores, runs].map(free);
    if let Some(free) = here.filter(|&free| free < needs.surely) {
        let (folder, wanted) = (stores.to_owned(), needs.surely);
        return Err(BuildError::NoRoom { folder, free, wanted });
    }
    // One file system has to hold both.
    let shared = same_file_system(stores, runs);
    let places = [
        (stores, here, needs.store + if shared { needs.runs } else { 0 }),
        (runs, there, if shared { 0 } else { needs.runs }),
    ];
    for (folder, free, wanted) in places {
        if let Some(free) = free.filter(|&free| free < wanted) {
            progress.note_tight(Tight { folder: folder.to_owned(), free, wanted });
        }
    }
    Ok(())
}

fn needs(plan: &Plan, old: &[Store]) -> Needs {
    let size = |path: &Path| path.metadata().map_or(0, |metadata| metadata.len());
    // Positions that were kept stay, unless more games are asked of them now; the same positions
    // may stand in several stores.
    let stays = |store: &&Store| store.header().keep_from >= plan.keep_from;
    let largest = old.iter().filter(stays).map(|store| size(store.path())).max().unwrap_or(0);
    let all: u64 = old.iter().map(|store| size(store.path())).sum();
    let dumps: u64 = plan.sources.iter().filter_map(Place::file_bytes).sum();
    // Of dumps with clocks, a store takes a twentieth to a tenth when rare positions are dropped;
    // when all are kept, about as much as the dumps.
    let grows = if plan.keep_from == 1 { dumps } else { dumps / 10 };
    let in_memory = plan.for_records() as u64 / 2;
    Needs {
        surely: largest / 2,
        store: all + grows,
        runs: if dumps > in_memory { dumps } else { 0 },
    }
}

#[cfg(unix)]
fn free(folder: &Path) -> Option<u64> {
    let found = rustix::fs::statvfs(folder).ok()?;
    found.f_bavail.checked_mul(found.f_frsize)
}

#[cfg(unix)]
fn same_file_system(one: &Path, other: &Path) -> bool {
    use std::os::unix::fs::MetadataExt;
    let device = |path: &Path| path.metadata().ok().map(|metadata| metadata.dev());
    device(one) == device(other)
}

/// Elsewhere the room is not known before it runs out.
#[cfg(not(unix))]
fn free(_folder: &Path) -> Option<u64> {
    None
}

#[cfg(not(unix))]
fn same_file_system(_one: &Path, _other: &Path) -> bool {
    true
}
