//! The file of a new store, which takes no more once the build is asked to stop.
//!
//! At the end of a build redb writes for seconds on end within a call or two. It gives up when the
//! file does; what it leaves is removed.

use std::io;
use std::sync::Arc;
use std::sync::atomic::AtomicBool;

use redb::StorageBackend;
use redb::backends::FileBackend;

use crate::source::refuse_stopped;

#[derive(Debug)]
pub(super) struct Stoppable {
    pub file: FileBackend,
    pub stop: Arc<AtomicBool>,
}

impl StorageBackend for Stoppable {
    fn len(&self) -> io::Result<u64> {
        self.file.len()
    }

    fn read(&self, offset: u64, out: &mut [u8]) -> io::Result<()> {
        refuse_stopped(&self.stop)?;
        self.file.read(offset, out)
    }

    fn set_len(&self, len: u64) -> io::Result<()> {
        refuse_stopped(&self.stop)?;
        self.file.set_len(len)
    }

    fn sync_data(&self) -> io::Result<()> {
        refuse_stopped(&self.stop)?;
        self.file.sync_data()
    }

    fn write(&self, offset: u64, data: &[u8]) -> io::Result<()> {
        refuse_stopped(&self.stop)?;
        self.file.write(offset, data)
    }

    fn close(&self) -> io::Result<()> {
        self.file.close()
    }
}
