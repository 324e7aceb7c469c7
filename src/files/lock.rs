//! The lock beside a target: one run writes it at a time, and what a dead one has left is found.
//!
//! The text `deadfall lock, version 1` and a line feed; then for each working folder of the run its
//! identity, a blank, its path (from the lock's folder, or absolute) and a zero byte. A lock is
//! never changed: the content of an abandoned one is read, then it is removed and another one made.

use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};
use std::time::Duration;

use super::FilesError;
use super::error::failed;
use super::identity::{is_at, open_itself};

/// How every lock begins.
const MAGIC: &[u8] = b"deadfall lock, version 1\n";
/// A lock is much shorter.
const LONGEST: u64 = 1 << 16;
/// How often a run may find that another one has just removed what it was going to lock.
const TRIES: usize = 100;
/// How long a lock may take that is being made.
const PATIENCE: Duration = Duration::from_millis(10);

/// A working folder as a lock names it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Named {
    pub identity: String,
    pub path: PathBuf,
}

/// A lock that is held.
#[derive(Debug)]
pub(super) struct Lock {
    path: PathBuf,
    file: File,
}

/// What lies at the name of a lock.
enum LockState {
    Nothing,
    Held,
    /// What it was going to be is gone already, or not yet whole.
    Changing,
    Abandoned(Lock, Vec<Named>),
}

impl Lock {
    /// The lock of `target`, which names `folders`. `tidy` removes what an abandoned one names.
    pub(super) fn take(
        target: &Path,
        folders: &[Named],
        mut tidy: impl FnMut(&Named),
    ) -> Result<Lock, FilesError> {
        let path = path_of(target);
        for _ in 0..TRIES {
            match look(target, &path)? {
                LockState::Nothing => match create(&path, &content(folders)) {
                    Ok(file) => return Ok(Lock { path, file }),
                    Err(error) if error.kind() == io::ErrorKind::AlreadyExists => {}
                    // The name of the lock would say nothing to a user who asked for the target.
                    Err(error) => return Err(failed("write", target)(error)),
                },
                LockState::Held => return Err(FilesError::Busy { target: target.to_owned() }),
                LockState::Changing => std::thread::sleep(PATIENCE),
                LockState::Abandoned(lock, names) => {
                    names.iter().for_each(&mut tidy);
                    lock.remove();
                }
            }
        }
        match open(&path).and_then(read) {
            Ok(text) if text.is_empty() => Err(foreign(target, &path, "an empty file")),
            Ok(text) if !is_ours(&text) => Err(foreign(target, &path, NOT_OURS)),
            _ => Err(FilesError::Busy { target: target.to_owned() }),
        }
    }

    /// Does away with an abandoned lock of `target`, if there is one.
    pub(super) fn tidy(target: &Path, tidy: impl FnMut(&Named)) {
        if let Ok(LockState::Abandoned(lock, names)) = look(target, &path_of(target)) {
            names.iter().for_each(tidy);
            lock.remove();
        }
    }

    /// Removes it while it is held, or another run might lock the file that is removed here.
    pub(super) fn remove(self) {
        let Lock { path, file } = self;
        if is_at(&file, &path) {
            if cfg!(not(unix)) {
                // Elsewhere a file that is open cannot be removed.
                drop(file);
            }
            let _ = fs::remove_file(&path);
        }
    }
}

const NOT_OURS: &str = "a file of something else";

fn foreign(target: &Path, lock: &Path, what: &'static str) -> FilesError {
    FilesError::Foreign { target: target.to_owned(), lock: lock.to_owned(), what }
}

/// The fixed name beside the target.
fn path_of(target: &Path) -> PathBuf {
    let mut name = target.file_name().unwrap_or_default().to_os_string();
    name.push(".lock");
    target.with_file_name(name)
}

fn look(target: &Path, path: &Path) -> Result<LockState, FilesError> {
    let found = match path.symlink_metadata() {
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(LockState::Nothing),
        found => found.map_err(failed("write", target))?.file_type(),
    };
    if !found.is_file() {
        return Err(foreign(target, path, super::identity::kind(found)));
    }
    let file = match open(path) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(LockState::Changing),
        opened => opened.map_err(failed("open", path))?,
    };
    let text = match file.try_clone().and_then(read) {
        // There a lock keeps others from reading, too.
        Err(_) if cfg!(windows) => return Ok(LockState::Held),
        text => text.map_err(failed("read", path))?,
    };
    if !is_ours(&text) {
        let begins = MAGIC.starts_with(&text);
        return if begins { Ok(LockState::Changing) } else { Err(foreign(target, path, NOT_OURS)) };
    }
    match file.try_lock() {
        // One that is held is not written to any more, so this is its content.
        Ok(()) if is_at(&file, path) => {
            Ok(LockState::Abandoned(Lock { path: path.to_owned(), file }, names(&text)))
        }
        Ok(()) => Ok(LockState::Changing),
        Err(TryLockError::WouldBlock) => Ok(LockState::Held),
        Err(TryLockError::Error(error)) => Err(failed("lock", path)(error)),
    }
}

/// Some file systems lock only what may be written to; a lock of another user's may not.
fn open(path: &Path) -> io::Result<File> {
    let options = File::options().read(true).to_owned();
    open_itself(path, options.clone().write(true).to_owned()).or_else(|error| match error.kind() {
        io::ErrorKind::PermissionDenied => open_itself(path, options),
        _ => Err(error),
    })
}

fn read(file: File) -> io::Result<Vec<u8>> {
    let mut text = Vec::new();
    file.take(LONGEST).read_to_end(&mut text)?;
    Ok(text)
}

fn content(folders: &[Named]) -> Vec<u8> {
    let mut text = MAGIC.to_vec();
    for Named { identity, path } in folders {
        text.extend_from_slice(identity.as_bytes());
        text.push(b' ');
        text.extend_from_slice(path.as_os_str().as_encoded_bytes());
        text.push(0);
    }
    text
}

/// Whether a text has the form of a lock to its end, perhaps cut off.
fn is_ours(text: &[u8]) -> bool {
    let Some(rest) = text.strip_prefix(MAGIC) else { return false };
    let mut entries = rest.split(|&byte| byte == 0);
    let cut_off = entries.next_back().unwrap_or_default();
    let behind_identity = |entry: &[u8]| {
        let length = entry.iter().take_while(|byte| byte.is_ascii_hexdigit()).count();
        entry.get(length).copied().filter(|_| length > 0)
    };
    let is_begun = cut_off.iter().all(u8::is_ascii_hexdigit);
    (is_begun || behind_identity(cut_off) == Some(b' '))
        && entries.all(|entry| behind_identity(entry) == Some(b' '))
}

/// The folders that a lock names; what is cut off names none.
fn names(text: &[u8]) -> Vec<Named> {
    let rest = &text[MAGIC.len()..];
    let whole = rest.split_inclusive(|&byte| byte == 0).filter_map(|name| name.strip_suffix(&[0]));
    let named = |name: &[u8]| {
        let blank = name.iter().position(|&byte| byte == b' ')?;
        let identity = String::from_utf8(name[..blank].to_vec()).ok()?;
        Some(Named { identity, path: path_from(&name[blank + 1..])? })
    };
    whole.filter_map(named).collect()
}

#[cfg(unix)]
fn path_from(bytes: &[u8]) -> Option<PathBuf> {
    use std::os::unix::ffi::OsStrExt;
    Some(std::ffi::OsStr::from_bytes(bytes).into())
}

#[cfg(not(unix))]
fn path_from(bytes: &[u8]) -> Option<PathBuf> {
    String::from_utf8(bytes.to_vec()).ok().map(PathBuf::from)
}

/// A new file, locked and with its content; an error if there is anything at the path.
fn create(path: &Path, content: &[u8]) -> io::Result<File> {
    #[cfg(target_os = "linux")]
    match create_at_once(path, content) {
        // Not every file system can; what else is wrong shows again below.
        Err(error) if error.kind() != io::ErrorKind::AlreadyExists => {}
        created => return created,
    }
    let file = OpenOptions::new().read(true).write(true).create_new(true).open(path)?;
    fill(&file, content).inspect_err(|_| drop(fs::remove_file(path)))?;
    Ok(file)
}

fn fill(mut file: &File, content: &[u8]) -> io::Result<()> {
    file.try_lock()?;
    file.write_all(content)
}

/// Makes a file without a name and gives it one when it is locked and whole.
#[cfg(target_os = "linux")]
fn create_at_once(path: &Path, content: &[u8]) -> io::Result<File> {
    use rustix::fs::{AtFlags, CWD, Mode, OFlags, linkat, openat};
    use std::os::fd::AsRawFd;
    let flags = OFlags::TMPFILE | OFlags::RDWR | OFlags::CLOEXEC;
    let file =
        File::from(openat(CWD, super::folder_of(path), flags, Mode::from_bits_truncate(0o644))?);
    fill(&file, content)?;
    let unnamed = format!("/proc/self/fd/{}", file.as_raw_fd());
    linkat(CWD, unnamed, CWD, path, AtFlags::SYMLINK_FOLLOW)?;
    Ok(file)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_lock_names_folders_and_one_that_is_cut_off_names_the_whole_ones() {
        let named =
            |identity: &str, path: &str| Named { identity: identity.into(), path: path.into() };
        let folders = [named("0a", "x y"), named("ff", "/t\n/z")];
        let text = content(&folders);
        assert_eq!(names(&text), folders);
        assert_eq!(names(&text[..text.len() - 1]), folders[..1]);
        assert_eq!(names(MAGIC), []);
        assert!((MAGIC.len()..=text.len()).all(|length| is_ours(&text[..length])));
    }

    #[test]
    fn a_text_that_only_begins_like_a_lock_is_none() {
        for rest in ["my own notes", "12\n13\n", "\0\0\0", "ab cd\0\0", " x\0", "ab\0"] {
            assert!(!is_ours(&[MAGIC, rest.as_bytes()].concat()), "{rest:?}");
        }
    }
}
