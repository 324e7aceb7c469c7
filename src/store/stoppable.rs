//! The file of a new store, which takes no more once the build is asked to stop.
//!
//! At the end of a build redb writes for seconds on end within a call or two. It gives up when the file
//! does; what it leaves is removed.

use std::io;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use redb::StorageBackend;
use redb::backends::FileBackend;

#[derive(Debug)]
pub(super) struct Stoppable {
    pub file: FileBackend,
    pub stop: Arc<AtomicBool>,
}

impl Stoppable {
    fn check(&self) -> io::Result<()> {
        if self.stop.load(Ordering::Relaxed) { Err(io::Error::other("stopped")) } else { Ok(()) }
    }
}

impl StorageBackend for Stoppable {
    fn len(&self) -> io::Result<u64> {
        self.file.len()
    }

    fn read(&self, offset: u64, out: &mut [u8]) -> io::Result<()> {
        self.check()?;
        self.file.read(offset, out)
    }

    fn set_len(&self, len: u64) -> io::Result<()> {
        self.check()?;
        self.file.set_len(len)
    }

    fn sync_data(&self) -> io::Result<()> {
        self.check()?;
        self.file.sync_data()
    }

    fn write(&self, offset: u64, data: &[u8]) -> io::Result<()> {
        self.check()?;
        self.file.write(offset, data)
    }

    fn close(&self) -> io::Result<()> {
        self.file.close()
    }
}
