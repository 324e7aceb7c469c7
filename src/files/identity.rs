//! Which file a path means, whatever links lead there.

use std::collections::HashMap;
use std::fs::{self, File, FileType, OpenOptions};
use std::io;
use std::path::{Path, PathBuf};

use crate::source::Place;

/// Tells one file from another: device and inode, on Windows volume and index.
pub(super) type FileId = (u64, u64);

/// The file that a path leads to, if there is one.
pub(super) fn id(path: &Path) -> Option<FileId> {
    system::id(path).ok()
}

#[cfg(unix)]
mod system {
    use super::*;
    use rustix::fs::OFlags;
    use std::os::fd::AsFd;
    use std::os::unix::fs::{MetadataExt, OpenOptionsExt};

    pub(super) fn id(path: &Path) -> io::Result<FileId> {
        path.metadata().map(|metadata| of(&metadata))
    }

    pub(super) fn id_of_itself(path: &Path) -> io::Result<FileId> {
        path.symlink_metadata().map(|metadata| of(&metadata))
    }

    pub(super) fn id_of_file(file: &File) -> io::Result<FileId> {
        file.metadata().map(|metadata| of(&metadata))
    }

    pub(super) fn id_of_stdin() -> io::Result<FileId> {
        id_of_file(&io::stdin().as_fd().try_clone_to_owned()?.into())
    }

    /// `None` where it is no file.
    pub(super) fn id_of_stdout() -> io::Result<Option<FileId>> {
        let metadata = File::from(io::stdout().as_fd().try_clone_to_owned()?).metadata()?;
        Ok(metadata.is_file().then(|| of(&metadata)))
    }

    /// Nor may a pipe make anybody wait.
    pub(super) fn through_no_link(options: &mut OpenOptions) {
        let flags = OFlags::NOFOLLOW | OFlags::NONBLOCK | OFlags::NOCTTY;
        options.custom_flags(flags.bits() as i32);
    }

    fn of(metadata: &fs::Metadata) -> FileId {
        (metadata.dev(), metadata.ino())
    }
}

#[cfg(windows)]
mod system {
    use super::*;
    use std::os::windows::fs::OpenOptionsExt;
    use winapi_util::HandleRef;
    use winapi_util::file::{Information, information};

    /// Opens folders too, and links themselves (`CreateFileW`, its flags).
    const FOLDERS: u32 = 0x0200_0000;
    const LINKS: u32 = 0x0020_0000;

    pub(super) fn id(path: &Path) -> io::Result<FileId> {
        opened(path, FOLDERS)
    }

    pub(super) fn id_of_itself(path: &Path) -> io::Result<FileId> {
        opened(path, FOLDERS | LINKS)
    }

    pub(super) fn id_of_file(file: &File) -> io::Result<FileId> {
        information(file).map(of)
    }

    pub(super) fn id_of_stdin() -> io::Result<FileId> {
        information(HandleRef::stdin()).map(of)
    }

    /// `None` where it is no file.
    pub(super) fn id_of_stdout() -> io::Result<Option<FileId>> {
        let is_file = winapi_util::file::typ(HandleRef::stdout())?.is_disk();
        is_file.then(|| information(HandleRef::stdout()).map(of)).transpose()
    }

    pub(super) fn through_no_link(options: &mut OpenOptions) {
        options.custom_flags(LINKS);
    }

    /// Without any right to read, which others may have kept to themselves.
    fn opened(path: &Path, flags: u32) -> io::Result<FileId> {
        id_of_file(&OpenOptions::new().access_mode(0).custom_flags(flags).open(path)?)
    }

    fn of(found: Information) -> FileId {
        (found.volume_serial_number(), found.file_index())
    }
}

/// Whether two paths mean one file, through symbolic and hard links too; also one that is
/// not there yet.
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

/// The first of these places that is one of the earlier ones, and that one.
pub fn twice(places: &[Place]) -> Option<(usize, usize)> {
    let mut known = HashMap::new();
    for (number, place) in places.iter().enumerate() {
        let found = id_of_place(place);
        let same = places[..number].iter().position(|other| other == place);
        let earlier = found.and_then(|found| known.insert(found, number));
        if let Some(earlier) = same.or(earlier) {
            return Some((number, earlier));
        }
    }
    None
}

/// Whether a path means the file that is read there.
pub fn is_input(path: &Path, input: &Place) -> bool {
    match input {
        Place::Stdin => id(path).is_some_and(|found| Some(found) == id_of_place(input)),
        Place::File(input) => same_file(path, input),
    }
}

/// Whether what is printed goes to the file that is read there.
pub fn is_printed_into(input: &Place) -> bool {
    let printed = system::id_of_stdout().ok().flatten();
    printed.is_some() && printed == id_of_place(input)
}

fn id_of_place(place: &Place) -> Option<FileId> {
    match place {
        Place::Stdin => system::id_of_stdin().ok(),
        Place::File(path) => id(path),
    }
}

/// Whether an open file still lies at the path.
pub(super) fn is_at(file: &File, path: &Path) -> bool {
    let found = system::id_of_itself(path).ok();
    found.is_some() && found == system::id_of_file(file).ok()
}

/// Links that may point to each other before they are taken for a circle.
const MOST_LINKS: usize = 40;

/// Where a path leads if it is a symbolic link, whether or not there is anything yet.
pub(super) fn followed(path: &Path) -> PathBuf {
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
    system::through_no_link(&mut options);
    let no_file = |what| io::Error::new(io::ErrorKind::InvalidInput, what);
    let found = path.symlink_metadata()?.file_type();
    if !found.is_file() {
        return Err(no_file(kind(found)));
    }
    let file = options.open(path)?;
    if file.metadata()?.is_file() { Ok(file) } else { Err(no_file("something else")) }
}
