//! Puts finished files into their places.

use std::fs::{self, File};
use std::io;
use std::path::Path;

use tempfile::TempPath;

use super::access::keep_access;
#[cfg(unix)]
use super::identity::folder_of;
use super::identity::id;
use super::{FilesError, Workspace, failed};

/// Puts what the workspaces have made into the places of their targets, all or none.
///
/// The files are on the disk before they are renamed, so that a place holds the old or the new file
/// even if the power fails.
///
/// # Errors
///
/// [`FilesError::Changed`] where something else came into a place meanwhile. The earlier ones are
/// then put back, as far as the system lets us; an error in making the last renames durable
/// undoes nothing.
pub fn put_all(workspaces: &[Workspace]) -> Result<(), FilesError> {
    for workspace in workspaces {
        let new = workspace.new_file();
        let ready = File::options().write(true).open(&new).and_then(|file| {
            if workspace.was.is_some() {
                keep_access(&file, workspace.target())?;
            }
            file.sync_all()
        });
        ready.map_err(failed("write", workspace.target()))?;
        if workspaces.len() > 1 && workspace.was.is_some() {
            keep_old(workspace).map_err(failed("keep a copy of", workspace.target()))?;
        }
    }
    for (place, workspace) in workspaces.iter().enumerate() {
        if let Err(error) = put(workspace) {
            workspaces[..place].iter().rev().for_each(put_back);
            return Err(error);
        }
    }
    for workspace in workspaces {
        sync_folder(workspace.target()).map_err(failed("replace", workspace.target()))?;
    }
    Ok(())
}

fn put(workspace: &Workspace) -> Result<(), FilesError> {
    let (new, target) = (workspace.new_file(), workspace.target());
    let changed = || FilesError::Changed { path: target.to_owned() };
    if id(target) != workspace.was || target.is_symlink() {
        return Err(changed());
    }
    let moved = match workspace.was {
        Some(_) => replace(&new, target),
        // Nothing that comes into the place in this very moment is lost either.
        None => TempPath::try_from_path(new).and_then(|new| Ok(new.persist_noclobber(target)?)),
    };
    moved.map_err(|error| match error.kind() {
        io::ErrorKind::AlreadyExists => changed(),
        io::ErrorKind::PermissionDenied if cfg!(windows) => {
            FilesError::InUse { path: target.to_owned() }
        }
        _ => failed("replace", target)(error),
    })
}

#[cfg(not(windows))]
fn replace(new: &Path, target: &Path) -> io::Result<()> {
    fs::rename(new, target)
}

/// Some Windows replace no file that anybody reads, be it only a scanner in passing: that
/// is waited for.
#[cfg(windows)]
fn replace(new: &Path, target: &Path) -> io::Result<()> {
    for _ in 0..50 {
        match fs::rename(new, target) {
            Err(error) if error.kind() == io::ErrorKind::PermissionDenied => {
                std::thread::sleep(std::time::Duration::from_millis(100));
            }
            moved => return moved,
        }
    }
    fs::rename(new, target)
}

/// Another name for the old file: a rename would leave the place empty for a moment.
fn keep_old(workspace: &Workspace) -> io::Result<()> {
    let (target, old) = (workspace.target(), workspace.old_file());
    // Not every file system has links.
    fs::hard_link(target, &old).or_else(|_| fs::copy(target, &old).map(drop))
}

fn put_back(workspace: &Workspace) {
    let _ = match workspace.was {
        Some(_) => fs::rename(workspace.old_file(), workspace.target()),
        None => fs::remove_file(workspace.target()),
    };
}

#[cfg(unix)]
fn sync_folder(target: &Path) -> io::Result<()> {
    File::open(folder_of(target))?.sync_all()
}

/// Elsewhere a folder cannot be opened as a file.
#[cfg(not(unix))]
fn sync_folder(_target: &Path) -> io::Result<()> {
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Workspaces for `a` and `b` in a new folder, with something new in each.
    fn two(old: &str) -> (tempfile::TempDir, [Workspace; 2]) {
        let folder = tempfile::tempdir().expect("a folder");
        let workspaces = ["a", "b"].map(|name| {
            let path = folder.path().join(name);
            if !old.is_empty() {
                fs::write(&path, old).expect("written");
            }
            let workspace = Workspace::open(&path, None).expect("a workspace");
            fs::write(workspace.new_file(), "new").expect("written");
            workspace
        });
        (folder, workspaces)
    }

    fn content(folder: &Path) -> Vec<(String, String)> {
        let read =
            |name: &str| Some((name.to_owned(), fs::read_to_string(folder.join(name)).ok()?));
        ["a", "b"].into_iter().filter_map(read).collect()
    }

    #[test]
    fn all_files_take_their_places() {
        for old in ["", "old"] {
            let (folder, workspaces) = two(old);
            put_all(&workspaces).expect("nothing is in the way");
            drop(workspaces);
            let both = ["a", "b"].map(|name| (name.to_owned(), "new".to_owned()));
            assert_eq!(content(folder.path()), both);
            assert_eq!(fs::read_dir(folder.path()).expect("it is there").count(), 2);
        }
    }

    #[test]
    fn where_the_last_cannot_take_its_place_the_first_is_put_back() {
        for old in ["", "old"] {
            let (folder, workspaces) = two(old);
            fs::write(folder.path().join("other"), "other").expect("written");
            fs::rename(folder.path().join("other"), folder.path().join("b")).expect("renamed");
            let put = put_all(&workspaces);
            assert!(matches!(put, Err(FilesError::Changed { .. })), "{put:?}");
            drop(workspaces);
            let mut kept = vec![("b".to_owned(), "other".to_owned())];
            if !old.is_empty() {
                kept.insert(0, ("a".to_owned(), old.to_owned()));
            }
            assert_eq!(content(folder.path()), kept);
        }
    }
}
