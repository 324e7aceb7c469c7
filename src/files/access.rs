//! Who may read and write a file that is replaced: the same as before.

use std::fs::File;
use std::io;
use std::path::Path;

use super::FilesError;
use super::error::failed;

/// Refuses a file at `target` that is protected against writing; one that is not there may be made.
///
/// # Errors
///
/// [`FilesError::Protected`]; whatever else keeps it from being opened for writing.
pub fn refuse_protected(target: &Path) -> Result<(), FilesError> {
    let protected = || FilesError::Protected { path: target.to_owned() };
    // Whatever else is wrong with the place shows when something is made there.
    let Ok(found) = target.metadata() else { return Ok(()) };
    if found.permissions().readonly() {
        return Err(protected());
    }
    // Windows says no, too, where somebody merely reads.
    if cfg!(windows) {
        return Ok(());
    }
    match File::options().write(true).open(target) {
        Ok(_) => Ok(()),
        Err(error) if error.kind() == io::ErrorKind::PermissionDenied => Err(protected()),
        Err(error) => Err(failed("write", target)(error)),
    }
}

/// Gives a new file the mode of the old one, and its owner and group as far as the system lets us.
#[cfg(unix)]
pub(super) fn keep_access(new: &File, old: &Path) -> io::Result<()> {
    use std::os::unix::fs::{MetadataExt, fchown};
    let (was, is) = (old.metadata()?, new.metadata()?);
    let same_group = was.gid() == is.gid() || fchown(new, None, Some(was.gid())).is_ok();
    if was.uid() != is.uid() {
        // Only the superuser can.
        let _ = fchown(new, Some(was.uid()), None);
    }
    // Last, since a change of owner may take bits away.
    new.set_permissions(mode(was.mode(), same_group))
}

/// What only the old group might do, another one may not.
#[cfg(unix)]
fn mode(was: u32, same_group: bool) -> std::fs::Permissions {
    use std::os::unix::fs::PermissionsExt;
    let group = if same_group { 0o070 } else { (was & 0o007) << 3 };
    std::fs::Permissions::from_mode(was & 0o707 | was & group)
}

#[cfg(not(unix))]
pub(super) fn keep_access(_new: &File, _old: &Path) -> io::Result<()> {
    Ok(())
}

#[cfg(all(test, unix))]
mod tests {
    use super::*;
    use std::os::unix::fs::PermissionsExt;

    #[test]
    fn another_group_gets_no_more_than_everybody_has() {
        for (was, same_group, expected) in [
            (0o640, true, 0o640),
            (0o640, false, 0o600),
            (0o664, false, 0o644),
            (0o666, false, 0o666),
            (0o100_600, false, 0o600),
        ] {
            assert_eq!(mode(was, same_group).mode(), expected, "{was:o}");
        }
    }
}
