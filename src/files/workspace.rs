//! The folder in which a file is made before it takes its place.

use std::ffi::OsStr;
use std::fmt;
use std::fs::{self, File};
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};

use super::FilesError;
use super::access::refuse_protected;
use super::error::failed;
use super::identity::{FileId, folder_of, followed, id, kind, open_itself};
use super::lock::{Lock, Named};
use crate::source::plain;

/// Everything unfinished on the way to one target, locked while the run lives.
///
/// The operating system takes the lock from a run that dies, however it dies; so the next one for
/// the same target knows that what the lock names is left over, and removes it.
#[derive(Debug)]
pub struct Workspace {
    target: PathBuf,
    /// What lay in the place of the target when the work began.
    pub(super) was: Option<FileId>,
    folder: PathBuf,
    runs: PathBuf,
    /// What is to be removed at the end.
    made: Vec<Named>,
    lock: Option<Lock>,
    left: Vec<Left>,
}

/// A working folder of a dead run that could not be removed, or not wholly.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Left {
    /// The folder.
    pub folder: PathBuf,
    /// Why it stays.
    pub why: String,
}

impl fmt::Display for Left {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} is left over and stays: {}", self.folder.display(), self.why)
    }
}

impl Workspace {
    /// Locks `target`, tidies up behind dead runs and makes a working folder; one more in
    /// `temp_dir` for runs, if given. Where the target is a symbolic link, the place it points to
    /// counts: two links to one store share a lock.
    ///
    /// # Errors
    ///
    /// Another run has the lock, something else has its name, the target is protected, or the
    /// system refuses.
    pub fn open(target: &Path, temp_dir: Option<&Path>) -> Result<Workspace, FilesError> {
        let target = followed(target);
        if let Some(found) = target.symlink_metadata().ok().filter(|found| !found.is_file()) {
            return Err(FilesError::NoFile { path: target, what: kind(found.file_type()) });
        }
        refuse_protected(&target)?;
        let (name, name_elsewhere) = (new_name()?, new_name()?);
        let mut named = vec![Named { identity: random()?, path: name.clone().into() }];
        let folder = target.with_file_name(name);
        let runs = temp_dir.map_or(folder.clone(), |dir| dir.join(&name_elsewhere));
        if let Some(dir) = temp_dir {
            // The next run may be started elsewhere.
            let path = fs::canonicalize(dir).map_err(failed("find", dir))?.join(name_elsewhere);
            named.push(Named { identity: random()?, path });
        }
        let mut left = Vec::new();
        let lock = Lock::take(&target, &named, |dead| left.extend(removed(&target, dead).err()))?;
        // From here on, whatever fails, nothing is left behind.
        let (was, lock, made) = (id(&target), Some(lock), Vec::new());
        let mut workspace = Workspace { target, was, folder, runs, made, lock, left };
        for named in named {
            let path = place_of(&workspace.target, &named);
            workspace.made.push(named.clone());
            make(&path, &named.identity)
                .map_err(failed("make a working folder in", folder_of(&path)))?;
        }
        Ok(workspace)
    }

    /// Removes what a dead run for `target` has left, if nobody else is at it.
    pub fn tidy(target: &Path) -> Vec<Left> {
        let (target, mut left) = (followed(target), Vec::new());
        Lock::tidy(&target, |dead| left.extend(removed(&target, dead).err()));
        left
    }

    /// The place of the finished file.
    pub fn target(&self) -> &Path {
        &self.target
    }

    /// Whether there was a file when the work began.
    pub fn replaces(&self) -> bool {
        self.was.is_some()
    }

    /// Where the file is written before it takes its place.
    pub fn new_file(&self) -> PathBuf {
        self.folder.join("new")
    }

    /// Another name for the file that is replaced.
    pub(super) fn old_file(&self) -> PathBuf {
        self.folder.join("old")
    }

    /// The folder for runs.
    pub fn runs_folder(&self) -> &Path {
        &self.runs
    }

    /// The file for a sorted run.
    pub fn run(&self, name: &str) -> PathBuf {
        self.runs.join(format!("run-{name}"))
    }

    /// What dead runs have left that stays.
    pub fn take_left(&mut self) -> Vec<Left> {
        std::mem::take(&mut self.left)
    }

    /// Removes everything unfinished; what cannot be removed.
    pub fn close(mut self) -> Vec<Left> {
        let left = self.clear();
        self.unlock();
        left
    }

    fn unlock(&mut self) {
        if let Some(lock) = self.lock.take() {
            lock.remove();
        }
    }

    fn clear(&mut self) -> Vec<Left> {
        let made = std::mem::take(&mut self.made);
        made.iter().filter_map(|named| removed(&self.target, named).err()).collect()
    }
}

impl Drop for Workspace {
    /// Leaves nothing behind. What cannot be removed now keeps its lock, so that the next
    /// run finds it.
    fn drop(&mut self) {
        if self.clear().is_empty() {
            self.unlock();
        }
    }
}

const PREFIX: &str = "deadfall-unfinished-";
const MARK: &str = "mark";

/// 128 bits that nobody can guess, as 32 digits.
fn random() -> Result<String, FilesError> {
    let mut bits = [0; 16];
    let drawn = getrandom::fill(&mut bits).map_err(io::Error::from);
    drawn.map_err(failed("draw random bits for", Path::new(PREFIX)))?;
    Ok(format!("{:032x}", u128::from_ne_bytes(bits)))
}

fn new_name() -> Result<String, FilesError> {
    Ok(format!("{PREFIX}{}", random()?))
}

/// Whether a folder may have been named by [`new_name`].
fn is_name(name: &OsStr) -> bool {
    let digits = name.to_str().and_then(|name| name.strip_prefix(PREFIX));
    digits.is_some_and(|it| it.len() == 32 && it.bytes().all(|byte| byte.is_ascii_hexdigit()))
}

fn mark(identity: &str) -> String {
    format!("working folder of deadfall, version 1\n{identity}\n")
}

/// Where a folder lies that the lock of `target` names.
fn place_of(target: &Path, named: &Named) -> PathBuf {
    target.with_file_name("").join(&named.path)
}

/// Makes a folder that is ours alone, with its mark.
fn make(folder: &Path, identity: &str) -> io::Result<()> {
    create_private(folder)?;
    File::create_new(folder.join(MARK))?.write_all(mark(identity).as_bytes())
}

/// Makes a folder that was not there, and that nobody else may look into.
#[cfg(unix)]
fn create_private(folder: &Path) -> io::Result<()> {
    use std::os::unix::fs::DirBuilderExt;
    fs::DirBuilder::new().mode(0o700).create(folder)
}

#[cfg(not(unix))]
fn create_private(folder: &Path) -> io::Result<()> {
    fs::create_dir(folder)
}

/// Removes a folder that the lock of `target` names, if it is the one that was made then.
fn removed(target: &Path, named: &Named) -> Result<(), Left> {
    let folder = place_of(target, named);
    let is_named = folder.file_name().is_some_and(is_name);
    match remove(&folder, &named.identity, is_named) {
        Ok(()) => Ok(()),
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(()),
        Err(error) => Err(Left { folder, why: plain(&error) }),
    }
}

fn remove(folder: &Path, identity: &str, is_named: bool) -> io::Result<()> {
    let not_ours = || io::Error::other("it is not the folder that was made there");
    if !folder.symlink_metadata()?.is_dir() || !is_named || !is_marked(folder, identity)? {
        return Err(not_ours());
    }
    let mut holds_others = false;
    for entry in fs::read_dir(folder)? {
        let entry = entry?;
        match entry.file_name().to_str() {
            // Last of all, since without it nobody would know the folder again.
            Some(MARK) => {}
            Some(name) if ["new", "old"].contains(&name) || name.starts_with("run-") => {
                fs::remove_file(entry.path())?;
            }
            _ => holds_others = true,
        }
    }
    if holds_others {
        return Err(io::Error::other("there are files in it that were not made here"));
    }
    match fs::remove_file(folder.join(MARK)) {
        Err(error) if error.kind() != io::ErrorKind::NotFound => Err(error),
        _ => fs::remove_dir(folder),
    }
}

/// Whether the folder has the mark; or nothing but its beginning, as when its making was cut short.
fn is_marked(folder: &Path, identity: &str) -> io::Result<bool> {
    let (wanted, mut found) = (mark(identity), Vec::new());
    let reading = File::options().read(true).to_owned();
    match open_itself(&folder.join(MARK), reading) {
        Ok(file) => drop(file.take(1 << 10).read_to_end(&mut found)?),
        Err(error) if error.kind() == io::ErrorKind::NotFound => {}
        Err(error) if error.kind() == io::ErrorKind::InvalidInput => return Ok(false),
        Err(error) => return Err(error),
    }
    if found == wanted.as_bytes() {
        return Ok(true);
    }
    let begins = wanted.as_bytes().starts_with(&found);
    let mut others = fs::read_dir(folder)?
        .filter(|entry| entry.as_ref().map_or(true, |entry| entry.file_name() != MARK));
    Ok(begins && others.next().is_none())
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};

    #[test]
    fn of_runs_that_come_and_go_one_works_at_a_time() {
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
                    Err(FilesError::Busy { .. }) => std::thread::yield_now(),
                    Err(error) => panic!("{error}"),
                }
            }
        };
        std::thread::scope(|scope| (0..4).for_each(|_| drop(scope.spawn(come_and_go))));
        assert!(opened.into_inner() > 0);
        assert_eq!(fs::read_dir(folder.path()).expect("it is there").count(), 0);
    }
}
