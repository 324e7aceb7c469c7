//! Which file a path means, whatever links lead there.

use std::fs::{self, File, FileType, OpenOptions};
use std::io;
use std::path::{Path, PathBuf};

/// Tells one file from another: device and inode.
#[cfg(unix)]
pub(super) type FileId = (u64, u64);
/// Tells one file from another; hard links are not seen through.
#[cfg(not(unix))]
pub(super) type FileId = PathBuf;

/// The file that a path leads to, if there is one.
#[cfg(unix)]
pub(super) fn id(path: &Path) -> Option<FileId> {
    path.metadata().ok().map(|metadata| id_of(&metadata))
}

#[cfg(not(unix))]
pub(super) fn id(path: &Path) -> Option<FileId> {
    path.canonicalize().ok()
}

#[cfg(unix)]
fn id_of(metadata: &fs::Metadata) -> FileId {
    use std::os::unix::fs::MetadataExt;
    (metadata.dev(), metadata.ino())
}

/// Whether two paths mean one file, through symbolic and hard links too; also one that is not there yet.
pub fn same_file(one: &Path, other: &Path) -> bool {
    match (id(one), id(other)) {
        (None, None) => {
            let place = |path| {
                let path = followed(path);
                Some((folder_of(&path).canonicalize().ok()?, path.file_name()?.to_owned()))
            };
            place(one).is_some_and(|place_of_one| Some(place_of_one) == place(other))
        }
        (one, other) => one == other,
    }
}

/// Whether standard input is this file.
#[cfg(unix)]
pub fn stands_on_stdin(path: &Path) -> bool {
    use std::os::fd::AsFd;
    let stdin = io::stdin().as_fd().try_clone_to_owned().map(File::from);
    stdin.and_then(|stdin| stdin.metadata()).is_ok_and(|found| Some(id_of(&found)) == id(path))
}

/// Elsewhere nobody can tell.
#[cfg(not(unix))]
pub fn stands_on_stdin(_path: &Path) -> bool {
    false
}

/// Whether an open file still lies at the path.
#[cfg(unix)]
pub(super) fn is_at(file: &File, path: &Path) -> bool {
    let found = path.symlink_metadata().ok().map(|metadata| id_of(&metadata));
    found.is_some() && found == file.metadata().ok().map(|metadata| id_of(&metadata))
}

#[cfg(not(unix))]
pub(super) fn is_at(_file: &File, _path: &Path) -> bool {
    true
}

/// Links that may point to each other before they are taken for a circle.
const MOST_LINKS: usize = 40;

/// Where a path leads if it is a symbolic link, whether or not there is anything yet.
pub fn followed(path: &Path) -> PathBuf {
    let mut path = path.to_owned();
    for _ in 0..MOST_LINKS {
        let Ok(next) = fs::read_link(&path) else { break };
        path = path.parent().unwrap_or(Path::new("")).join(next);
    }
    path
}

/// The folder that a path lies in.
pub fn folder_of(path: &Path) -> &Path {
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty());
    folder.unwrap_or(Path::new("."))
}

/// What something is that is no file.
pub(super) fn kind(of: FileType) -> &'static str {
    match of {
        of if of.is_dir() => "a folder",
        of if of.is_symlink() => "a symbolic link",
        _ => "a device or a pipe",
    }
}

/// Opens a regular file as it is, through no link; what is no such file is `InvalidInput`.
pub(super) fn open_itself(path: &Path, mut options: OpenOptions) -> io::Result<File> {
    #[cfg(unix)]
    {
        use rustix::fs::OFlags;
        use std::os::unix::fs::OpenOptionsExt;
        // Nor may a pipe make anybody wait.
        let flags = OFlags::NOFOLLOW | OFlags::NONBLOCK | OFlags::NOCTTY;
        options.custom_flags(flags.bits() as i32);
    }
    let no_file = |what| io::Error::new(io::ErrorKind::InvalidInput, what);
    let found = path.symlink_metadata()?.file_type();
    if !found.is_file() {
        return Err(no_file(kind(found)));
    }
    let file = options.open(path)?;
    if file.metadata()?.is_file() { Ok(file) } else { Err(no_file("something else")) }
}
