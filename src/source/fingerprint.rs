//! By what a file is known.

use std::fs::File;
use std::io::{self, Read};
use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};

use xxhash_rust::xxh3::Xxh3;

use crate::ledger::FileHash;

/// The hash of a whole file.
///
/// # Errors
/// Where the file cannot be read, or once `stop` is set.
pub fn hash_file(path: &Path, stop: &AtomicBool) -> io::Result<FileHash> {
    let mut file = File::open(path)?;
    let mut hasher = Xxh3::new();
    let mut buffer = vec![0; 1 << 20];
    loop {
        if stop.load(Ordering::Relaxed) {
            return Err(io::Error::other("stopped"));
        }
        match file.read(&mut buffer) {
            Ok(0) => return Ok(FileHash(hasher.digest128())),
            Ok(count) => hasher.update(&buffer[..count]),
            Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
            Err(error) => return Err(error),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::Write;

    #[test]
    fn a_request_to_stop_ends_the_hashing_of_a_file() {
        let mut file = tempfile::NamedTempFile::new().expect("a temporary file");
        file.write_all(&[b'x'; 3 << 20]).expect("it is writable");
        let hash = |stop: bool| hash_file(file.path(), &AtomicBool::new(stop));
        assert!(hash(false).is_ok() && hash(true).is_err());
    }
}
