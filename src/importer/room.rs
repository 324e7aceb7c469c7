//! Room on the disk, looked at before the long work.

use std::path::Path;

use super::{BuildError, Plan, Progress, Tight};
use crate::files::{Workspace, folder_of};
use crate::source::Place;
use crate::store::Store;

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
/// little is noted for the user.
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
    // may be in several stores.
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

#[cfg(all(test, unix))]
mod tests {
    use std::fs::File;

    use super::*;
    use crate::counts::Totals;
    use crate::games::Rules;
    use crate::store::{Header, write_store};

    /// More than any disk has; a file of that length takes no room.
    const VAST: u64 = 1 << 43;

    struct Place {
        folder: tempfile::TempDir,
        plan: Plan,
        workspace: Workspace,
    }

    /// A build of a dump of so many bytes.
    fn build_of(bytes: u64) -> Place {
        let folder = tempfile::tempdir().expect("a folder");
        let (store, dump) = (folder.path().join("s.redb"), folder.path().join("dump.pgn"));
        File::create(&dump).expect("writable").set_len(bytes).expect("holes are free");
        let plan = Plan::new(&store, vec![super::Place::File(dump)]);
        let workspace = Workspace::open(&store, None).expect("the folder is writable");
        Place { folder, plan, workspace }
    }

    impl Place {
        /// A store in that folder whose file then grows to so many bytes.
        fn store_of(&self, bytes: u64) -> Store {
            let path = self.folder.path().join("old.redb");
            let header = Header {
                rules: Rules::default(),
                keep_from: 5,
                absent_may_lack: 4,
                visits: 0,
                visits_dropped: 0,
                totals: Totals::default(),
                sources: Vec::new(),
                names_given_up: false,
            };
            write_store(&path, 1 << 20, &std::sync::Arc::default(), |_| {
                Ok::<_, BuildError>((header, ()))
            })
            .expect("it is written");
            let store = Store::open(&path).expect("it is a store");
            File::options().write(true).open(&path).expect("ours").set_len(bytes).expect("holes");
            store
        }

        fn check(&self, old: &[Store]) -> (Result<(), BuildError>, Vec<Tight>) {
            let progress = Progress::default();
            let checked = check(&self.plan, &self.workspace, old, &progress);
            (checked, progress.take_tight())
        }
    }

    #[test]
    fn a_small_dump_has_room() {
        let (checked, tight) = build_of(1000).check(&[]);
        assert!(checked.is_ok() && tight.is_empty(), "{tight:?}");
    }

    #[test]
    fn what_may_not_fit_is_noted_once_for_store_and_runs() {
        let place = build_of(VAST);
        let (checked, tight) = place.check(&[]);
        assert!(checked.is_ok());
        let folder = place.folder.path().to_owned();
        let free = tight[0].free;
        assert_eq!(tight, [Tight { folder, free, wanted: VAST + VAST / 10 }]);
        let keeps_all = Plan { keep_from: 1, ..place.plan.clone() };
        assert_eq!(needs(&keeps_all, &[]).store, VAST);
    }

    #[test]
    fn a_store_that_cannot_fit_beside_the_old_one_is_refused() {
        let place = build_of(1000);
        let store = place.store_of(VAST);
        let (checked, _) = place.check(std::slice::from_ref(&store));
        let Err(BuildError::NoRoom { wanted, free, .. }) = checked else { panic!("{checked:?}") };
        assert_eq!(wanted, VAST / 2);
        assert!(free < wanted);
        let stricter = Plan { keep_from: 6, ..place.plan.clone() };
        assert_eq!(needs(&stricter, &[store]).surely, 0, "positions may be dropped");
    }
}
