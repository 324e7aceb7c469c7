//! Writing to a pipe or a device, which may wait for a reader as long as it likes.

use std::fs::OpenOptions;
use std::io::{self, Write};
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::AtomicBool;

use crate::source::{PATIENCE, open_at_once, patient, refuse_stopped};

/// Takes the bytes of a file that is no regular one.
pub type Writer = Box<dyn Write>;

/// Opens what is no regular file; opening and each write end with an error once `stop` is set.
pub fn open_device(path: &Path, stop: &Arc<AtomicBool>) -> io::Result<Writer> {
    loop {
        match open_at_once(path, OpenOptions::new().write(true)) {
            Err(error) if lacks_reader(path, &error)? => {
                refuse_stopped(stop)?;
                std::thread::sleep(PATIENCE);
            }
            opened => return Ok(Box::new(patient(opened?, Arc::clone(stop)))),
        }
    }
}

/// Whether it is a pipe that nobody reads yet; a socket says the same, and for good.
#[cfg(unix)]
fn lacks_reader(path: &Path, error: &io::Error) -> io::Result<bool> {
    use rustix::io::Errno;
    use std::os::unix::fs::FileTypeExt;

    let says_so = Errno::from_io_error(error) == Some(Errno::NXIO);
    Ok(says_so && path.metadata()?.file_type().is_fifo())
}

#[cfg(not(unix))]
fn lacks_reader(_path: &Path, _error: &io::Error) -> io::Result<bool> {
    Ok(false)
}
