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
    folder: PathBuf,
    runs: PathBuf,
    lock: Option<File>,
}

impl Workspace {
    /// Locks and empties the folder for builds of `store`; runs go to `temp_dir` if given.
    pub fn open(store: &Path, temp_dir: Option<&Path>) -> Result<Workspace, BuildError> {
        let mut name = store.file_name().unwrap_or_default().to_os_string();
        name.push(".unfinished");
        let folder = store.with_file_name(&name);
        create(&folder)?;
        let lock_path = folder.join("lock");
        let mut options = OpenOptions::new();
        let lock = options.read(true).write(true).create(true).truncate(false).open(&lock_path);
        let mut lock = lock.map_err(failed("create", &lock_path))?;
        match lock.try_lock() {
            Ok(()) => {}
            Err(TryLockError::WouldBlock) => {
                return Err(BuildError::Busy { store: store.to_owned() });
            }
            Err(TryLockError::Error(error)) => return Err(failed("lock", &lock_path)(error)),
        }
        remove_elsewhere(&mut lock, &name);
        // From here on, whatever fails, nothing is left behind.
        let mut workspace = Workspace { runs: folder.clone(), folder, lock: None };
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
        self.lock = None;
        if self.runs != self.folder {
            let _ = fs::remove_dir(&self.runs);
        }
        let _ = fs::remove_file(self.folder.join("lock"));
        let _ = fs::remove_dir(&self.folder);
    }
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
