//! Reading from what may be silent for long, such as a pipe, without being deaf meanwhile.

use std::fs::File;
use std::io::{self, Read};
use std::sync::Arc;
use std::sync::atomic::AtomicBool;

/// A file; one that is not a regular file is waited for with an ear for `stop`.
pub(super) fn file(file: File, stop: &Arc<AtomicBool>) -> io::Result<Box<dyn Read + Send>> {
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
                    Ok(_) => return self.file.read(buffer),
                    Err(error) => return Err(error.into()),
                }
            }
        }
    }
}
