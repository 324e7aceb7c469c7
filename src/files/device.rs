//! Writing to a pipe or a device, which may wait for a reader as long as it likes.

use std::fs::OpenOptions;
use std::io::{self, Write};
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::AtomicBool;

/// Takes the bytes of a file that is no regular one.
pub type Writer = Box<dyn Write>;

/// Opens what is no regular file; opening and each write end with an error once `stop` is set.
pub fn open_device(path: &Path, stop: &Arc<AtomicBool>) -> io::Result<Writer> {
    let mut options = OpenOptions::new();
    options.write(true);
    system::open(path, options, stop)
}

#[cfg(not(unix))]
mod system {
    use super::*;

    pub(super) fn open(
        path: &Path,
        options: OpenOptions,
        _stop: &Arc<AtomicBool>,
    ) -> io::Result<Writer> {
        Ok(Box::new(options.open(path)?))
    }
}

#[cfg(unix)]
mod system {
    use super::*;
    use std::fs::File;
    use std::os::unix::fs::{FileTypeExt, OpenOptionsExt};
    use std::sync::atomic::Ordering;
    use std::time::Duration;

    use rustix::event::{PollFd, PollFlags, Timespec, poll};
    use rustix::fs::OFlags;
    use rustix::io::Errno;

    /// How long nobody listens.
    const PATIENCE: Duration = Duration::from_millis(50);

    pub(super) fn open(
        path: &Path,
        mut options: OpenOptions,
        stop: &Arc<AtomicBool>,
    ) -> io::Result<Writer> {
        options.custom_flags((OFlags::NONBLOCK | OFlags::NOCTTY).bits().cast_signed());
        let no_reader = |error: &io::Error| Errno::from_io_error(error) == Some(Errno::NXIO);
        loop {
            match options.open(path) {
                // A pipe that nobody reads yet; a socket says the same, and for good.
                Err(error) if no_reader(&error) && path.metadata()?.file_type().is_fifo() => {
                    check(stop)?;
                    std::thread::sleep(PATIENCE);
                }
                opened => return Ok(Box::new(Patient { file: opened?, stop: Arc::clone(stop) })),
            }
        }
    }

    fn check(stop: &AtomicBool) -> io::Result<()> {
        if stop.load(Ordering::Relaxed) { Err(io::Error::other("stopped")) } else { Ok(()) }
    }

    struct Patient {
        file: File,
        stop: Arc<AtomicBool>,
    }

    impl Write for Patient {
        fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
            let patience = Timespec::try_from(PATIENCE).expect("it is short");
            loop {
                check(&self.stop)?;
                let mut one = [PollFd::new(&self.file, PollFlags::OUT)];
                match poll(&mut one, Some(&patience)) {
                    Ok(0) | Err(Errno::INTR) => {}
                    Ok(_) => match self.file.write(bytes) {
                        Err(error) if error.kind() == io::ErrorKind::WouldBlock => {}
                        written => return written,
                    },
                    Err(error) => return Err(error.into()),
                }
            }
        }

        fn flush(&mut self) -> io::Result<()> {
            Ok(())
        }
    }
}
