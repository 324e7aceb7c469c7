//! Reading from and writing to what may be silent for long, such as a pipe, without being deaf
//! meanwhile.

use std::fs::{File, OpenOptions};
use std::io::{self, Read, Write};
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

/// How long nobody listens.
pub const PATIENCE: Duration = Duration::from_millis(50);

/// An error once `stop` is set.
///
/// # Errors
/// One that says that the work was stopped.
pub fn refuse_stopped(stop: &AtomicBool) -> io::Result<()> {
    if stop.load(Ordering::Relaxed) { Err(io::Error::other("stopped")) } else { Ok(()) }
}

/// Opens a file, and does not wait where a pipe has no other end yet.
///
/// # Errors
/// As [`OpenOptions::open`].
pub fn open_at_once(path: &Path, options: &mut OpenOptions) -> io::Result<File> {
    #[cfg(unix)]
    {
        use rustix::fs::OFlags;
        let flags = (OFlags::NONBLOCK | OFlags::NOCTTY).bits().cast_signed();
        std::os::unix::fs::OpenOptionsExt::custom_flags(options, flags);
    }
    options.open(path)
}

/// A pipe or a device that was opened at once: each read and each write waits until it is ready, or
/// fails once `stop` is set.
#[cfg(unix)]
pub fn patient(file: File, stop: Arc<AtomicBool>) -> impl Read + Write + Send {
    unix::Patient { file, stop }
}

/// A pipe or a device; here nobody can be heard while it is waited for.
#[cfg(not(unix))]
pub fn patient(file: File, _stop: Arc<AtomicBool>) -> impl Read + Write + Send {
    file
}

/// The dump at a path.
pub(super) fn open(path: &Path, stop: &Arc<AtomicBool>) -> io::Result<Box<dyn Read + Send>> {
    readable(open_at_once(path, OpenOptions::new().read(true))?, stop)
}

/// A file to be read; one that is not a regular file is waited for.
fn readable(file: File, stop: &Arc<AtomicBool>) -> io::Result<Box<dyn Read + Send>> {
    if file.metadata()?.is_file() {
        return Ok(Box::new(file));
    }
    Ok(Box::new(patient(file, Arc::clone(stop))))
}

#[cfg(unix)]
pub(super) fn stdin(stop: &Arc<AtomicBool>) -> io::Result<Box<dyn Read + Send>> {
    use std::os::fd::AsFd;
    readable(File::from(io::stdin().as_fd().try_clone_to_owned()?), stop)
}

#[cfg(not(unix))]
pub(super) fn stdin(_stop: &Arc<AtomicBool>) -> io::Result<Box<dyn Read + Send>> {
    Ok(Box::new(io::stdin()))
}

#[cfg(unix)]
mod unix {
    use super::*;

    use rustix::event::{PollFd, PollFlags, Timespec, poll};
    use rustix::io::Errno;

    pub(super) struct Patient {
        pub(super) file: File,
        pub(super) stop: Arc<AtomicBool>,
    }

    impl Patient {
        /// Tries once the file is ready for it, and again where it was not after all: a pipe that
        /// no writer has opened yet is not ready, and so not at its end.
        fn when_ready(
            &mut self,
            readiness: PollFlags,
            mut attempt: impl FnMut(&mut File) -> io::Result<usize>,
        ) -> io::Result<usize> {
            let patience = Timespec::try_from(PATIENCE).expect("it is short");
            loop {
                refuse_stopped(&self.stop)?;
                match poll(&mut [PollFd::new(&self.file, readiness)], Some(&patience)) {
                    Ok(0) | Err(Errno::INTR) => {}
                    Ok(_) => match attempt(&mut self.file) {
                        Err(error) if error.kind() == io::ErrorKind::WouldBlock => {}
                        done => return done,
                    },
                    Err(error) => return Err(error.into()),
                }
            }
        }
    }

    impl Read for Patient {
        fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
            self.when_ready(PollFlags::IN, |file| file.read(buffer))
        }
    }

    impl Write for Patient {
        fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
            self.when_ready(PollFlags::OUT, |file| file.write(bytes))
        }

        fn flush(&mut self) -> io::Result<()> {
            Ok(())
        }
    }
}
