//! The folder in which a build works until its store is finished.

use std::fs::{self, File, TryLockError};
use std::io;
use std::path::{Path, PathBuf};

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
        let lock = File::create(&lock_path).map_err(failed("create", &lock_path))?;
        match lock.try_lock() {
            Ok(()) => {}
            Err(TryLockError::WouldBlock) => {
                return Err(BuildError::Busy { store: store.to_owned() });
            }
            Err(TryLockError::Error(error)) => return Err(failed("lock", &lock_path)(error)),
        }
        let runs = match temp_dir {
            Some(dir) => dir.join(&name),
            None => folder.clone(),
        };
        let workspace = Workspace { folder, runs, lock: Some(lock) };
        create(&workspace.runs)?;
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

    /// The file for the sorted runs of one worker.
    pub(super) fn run(&self, worker: usize) -> PathBuf {
        self.runs.join(format!("runs-{worker}"))
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
