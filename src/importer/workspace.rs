//! The folder in which a build works until its store is finished.

use std::ffi::{OsStr, OsString};
use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::{self, Read, Seek, Write};
use std::path::{Path, PathBuf};

use xxhash_rust::xxh3::xxh3_64;

use super::BuildError;

/// A folder beside the store with everything unfinished in it, locked while a build lives.
///
/// The operating system takes the lock from a build that dies, however it dies; so the next build
/// knows that what it finds there is left over, and removes it.
#[derive(Debug)]
pub struct Workspace {
    target: PathBuf,
    folder: PathBuf,
    runs: PathBuf,
    lock: Option<File>,
}

impl Workspace {
    /// Locks and empties the folder for builds of `store`; runs go to `temp_dir` if given. Where the
    /// store is a symbolic link, the place it points to counts: two links to one store share a lock.
    pub fn open(store: &Path, temp_dir: Option<&Path>) -> Result<Workspace, BuildError> {
        let target = followed(store);
        let mut name = target.file_name().unwrap_or_default().to_os_string();
        name.push(".unfinished");
        let folder = target.with_file_name(&name);
        let lock_path = folder.join("lock");
        let mut lock = lock_in(&folder, &lock_path, store)?;
        remove_elsewhere(&mut lock, &name);
        // From here on, whatever fails, nothing is left behind.
        let mut workspace = Workspace { target, runs: folder.clone(), folder, lock: None };
        if let Some(dir) = temp_dir {
            let runs = dir.join(name_elsewhere(&name, &workspace.folder)?);
            create(&runs)?;
            let elsewhere = std::path::absolute(&runs).map_err(failed("find", &runs))?;
            workspace.runs = runs;
            let noted = lock.write_all(elsewhere.as_os_str().as_encoded_bytes());
            noted.map_err(failed("write", &lock_path))?;
        }
        workspace.lock = Some(lock);
        workspace.remove_files()?;
        Ok(workspace)
    }

    /// The place of the finished store.
    pub(super) fn target(&self) -> &Path {
        &self.target
    }

    /// Where the store is written before it takes its place.
    pub(super) fn store(&self) -> PathBuf {
        self.folder.join("store.redb")
    }

    /// The folder beside the store.
    pub(super) fn folder(&self) -> &Path {
        &self.folder
    }

    /// The folder for runs, which may be the same.
    pub(super) fn runs_folder(&self) -> &Path {
        &self.runs
    }

    /// The file for a sorted run.
    pub(super) fn run(&self, name: &str) -> PathBuf {
        self.runs.join(format!("run-{name}"))
    }

    /// Removes everything but the lock.
    fn remove_files(&self) -> Result<(), BuildError> {
        for folder in [&self.folder, &self.runs] {
            for entry in fs::read_dir(folder).map_err(failed("read", folder))? {
                let path = entry.map_err(failed("read", folder))?.path();
                if path.file_name().is_some_and(|name| name != "lock") {
                    fs::remove_file(&path).map_err(failed("remove", &path))?;
                }
            }
        }
        Ok(())
    }
}

impl Drop for Workspace {
    /// Leaves nothing behind; what cannot be removed now is removed by the next build.
    fn drop(&mut self) {
        let _ = self.remove_files();
        if self.runs != self.folder {
            let _ = fs::remove_dir(&self.runs);
        }
        // Held until the end, or another build might lock the file that is removed here.
        let lock = self.lock.take();
        if cfg!(not(unix)) {
            // Elsewhere a file that is open cannot be removed.
            drop(lock);
        }
        let _ = fs::remove_file(self.folder.join("lock"));
        let _ = fs::remove_dir(&self.folder);
    }
}

/// Links that may point to each other before they are taken for a circle.
const MOST_LINKS: usize = 40;

/// Where a path leads if it is a symbolic link, whether or not there is anything yet.
fn followed(path: &Path) -> PathBuf {
    let mut path = path.to_owned();
    for _ in 0..MOST_LINKS {
        let Ok(next) = fs::read_link(&path) else { break };
        path = path.parent().unwrap_or(Path::new("")).join(next);
    }
    path
}

/// How often a build may find that another one has just removed what it was going to lock.
const TRIES: usize = 100;

/// Makes the folder and locks it. Another build may end and remove both at any moment.
fn lock_in(folder: &Path, path: &Path, store: &Path) -> Result<File, BuildError> {
    for _ in 0..TRIES {
        create(folder)?;
        let mut options = OpenOptions::new();
        let lock = match options.read(true).write(true).create(true).truncate(false).open(path) {
            Err(error) if error.kind() == io::ErrorKind::NotFound => continue,
            opened => opened.map_err(failed("create", path))?,
        };
        match lock.try_lock() {
            Ok(()) if is_at(&lock, path) => return Ok(lock),
            Ok(()) => {}
            Err(TryLockError::WouldBlock) => break,
            Err(TryLockError::Error(error)) => return Err(failed("lock", path)(error)),
        }
    }
    Err(BuildError::Busy { store: store.to_owned() })
}

/// Whether the file still lies at the path.
#[cfg(unix)]
fn is_at(file: &File, path: &Path) -> bool {
    use std::os::unix::fs::MetadataExt;
    let id = |metadata: io::Result<fs::Metadata>| metadata.ok().map(|it| (it.dev(), it.ino()));
    let ours = id(file.metadata());
    ours.is_some() && ours == id(path.metadata())
}

#[cfg(not(unix))]
fn is_at(_file: &File, _path: &Path) -> bool {
    true
}

/// The name of a folder for runs away from the store. Stores of the same name in other folders may
/// be built at the same time with their runs in the same place.
fn name_elsewhere(name: &OsStr, folder: &Path) -> Result<OsString, BuildError> {
    let folder = fs::canonicalize(folder).map_err(failed("find", folder))?;
    let mut name = name.to_os_string();
    name.push(format!("-{:016x}", xxh3_64(folder.as_os_str().as_encoded_bytes())));
    Ok(name)
}

/// Removes the runs of a build that died with its temporary files elsewhere, whose folder it has
/// noted in the lock; and the note.
fn remove_elsewhere(lock: &mut File, name: &OsStr) {
    let mut noted = String::new();
    // What is no path is no folder to tidy up.
    let _ = lock.read_to_string(&mut noted);
    let folder = Path::new(&noted);
    let named_so = |found: &OsStr| found.as_encoded_bytes().starts_with(name.as_encoded_bytes());
    if folder.file_name().is_some_and(named_so) {
        for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
            if entry.file_name().to_string_lossy().starts_with("run-") {
                let _ = fs::remove_file(entry.path());
            }
        }
        let _ = fs::remove_dir(folder);
    }
    let _ = lock.set_len(0);
    let _ = lock.rewind();
}

/// Makes a folder unless it is there; the one around it must be, or a mistyped path would grow folders.
fn create(folder: &Path) -> Result<(), BuildError> {
    match fs::create_dir(folder) {
        Err(error) if error.kind() == io::ErrorKind::AlreadyExists => Ok(()),
        made => made.map_err(failed("create the folder", folder)),
    }
}

/// Wraps an error of the file system with what was tried on what.
pub(super) fn failed(doing: &'static str, path: &Path) -> impl FnOnce(io::Error) -> BuildError {
    let path = path.to_owned();
    move |source| BuildError::Temporary { doing, path, source }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};

    #[test]
    fn of_builds_that_come_and_go_one_works_at_a_time() {
        let folder = tempfile::TempDir::new().expect("a temporary folder");
        let store = folder.path().join("deadfall.redb");
        let (held, opened) = (AtomicBool::new(false), AtomicUsize::new(0));
        let come_and_go = || {
            for _ in 0..5_000 {
                match Workspace::open(&store, None) {
                    Ok(workspace) => {
                        assert!(!held.swap(true, Ordering::SeqCst), "two at a time");
                        fs::write(workspace.run("0-0"), "").expect("the folder is there");
                        opened.fetch_add(1, Ordering::SeqCst);
                        held.store(false, Ordering::SeqCst);
                    }
                    Err(BuildError::Busy { .. }) => std::thread::yield_now(),
                    Err(error) => panic!("{error}"),
                }
            }
        };
        std::thread::scope(|scope| (0..4).for_each(|_| drop(scope.spawn(come_and_go))));
        assert!(opened.into_inner() > 0);
        assert_eq!(fs::read_dir(folder.path()).expect("it is there").count(), 0);
    }
}
