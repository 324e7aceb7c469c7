//! Reading from what may be silent for long, such as a pipe, without being deaf meanwhile.

use std::fs::{File, OpenOptions};
use std::io::{self, Read};
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::AtomicBool;

/// The file at a path, as [`file()`]. Opening does not wait either, where a pipe has no writer yet.
pub(super) fn open(path: &Path, stop: &Arc<AtomicBool>) -> io::Result<Box<dyn Read + Send>> {
    let mut options = OpenOptions::new();
    options.read(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::custom_flags(&mut options, unix::NOT_WAITING);
    file(options.open(path)?, stop)
}

/// A file; one that is not a regular file is waited for with an ear for `stop`.
fn file(file: File, stop: &Arc<AtomicBool>) -> io::Result<Box<dyn Read + Send>> {
    if file.metadata()?.is_file() {
        return Ok(Box::new(file));
    }
    Ok(patient(file, stop))
}

#[cfg(unix)]
pub(super) fn stdin(stop: &Arc<AtomicBool>) -> io::Result<Box<dyn Read + Send>> {
    use std::os::fd::AsFd;
    file(File::from(io::stdin().as_fd().try_clone_to_owned()?), stop)
}

#[cfg(not(unix))]
pub(super) fn stdin(_stop: &Arc<AtomicBool>) -> io::Result<Box<dyn Read + Send>> {
    Ok(Box::new(io::stdin()))
}

#[cfg(unix)]
fn patient(file: File, stop: &Arc<AtomicBool>) -> Box<dyn Read + Send> {
    Box::new(unix::Patient { file, stop: Arc::clone(stop) })
}

#[cfg(not(unix))]
fn patient(file: File, _stop: &Arc<AtomicBool>) -> Box<dyn Read + Send> {
    Box::new(file)
}

#[cfg(unix)]
mod unix {
    use super::*;
    use std::sync::atomic::Ordering;

    use rustix::event::{PollFd, PollFlags, Timespec, poll};
    use rustix::fs::OFlags;

    /// How a path is opened.
    pub(super) const NOT_WAITING: i32 = OFlags::NONBLOCK.bits().cast_signed();

    /// How long nobody listens.
    const PATIENCE: Timespec = Timespec { tv_sec: 0, tv_nsec: 100_000_000 };

    pub(super) struct Patient {
        pub(super) file: File,
        pub(super) stop: Arc<AtomicBool>,
    }

    impl Read for Patient {
        fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
            loop {
                if self.stop.load(Ordering::Relaxed) {
                    return Err(io::Error::other("stopped"));
                }
                let mut one = [PollFd::new(&self.file, PollFlags::IN)];
                match poll(&mut one, Some(&PATIENCE)) {
                    Ok(0) | Err(rustix::io::Errno::INTR) => {}
                    // A pipe that no writer has opened yet is not ready, and so not at its end.
                    Ok(_) => match self.file.read(buffer) {
                        Err(error) if error.kind() == io::ErrorKind::WouldBlock => {}
                        read => return read,
                    },
                    Err(error) => return Err(error.into()),
                }
            }
        }
    }
}
