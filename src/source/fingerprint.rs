//! By what a dump is known.

use std::fmt;
use std::fs::File;
use std::io::{self, Read};
use std::path::Path;
use std::str::FromStr;
use std::sync::atomic::{AtomicBool, Ordering};

use serde::{Deserialize, Serialize};
use xxhash_rust::xxh3::Xxh3;

macro_rules! hash_of {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
        #[serde(try_from = "String", into = "String")]
        pub struct $name(pub u128);

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                write!(f, "{:032x}", self.0)
            }
        }

        impl FromStr for $name {
            type Err = String;

            fn from_str(hex: &str) -> Result<$name, String> {
                let digits = hex.len() == 32 && hex.bytes().all(|byte| byte.is_ascii_hexdigit());
                let number = digits.then(|| u128::from_str_radix(hex, 16).ok()).flatten();
                number.map($name).ok_or_else(|| format!("'{hex}' is not 32 hex digits"))
            }
        }

        impl From<$name> for String {
            fn from(hash: $name) -> String {
                hash.to_string()
            }
        }

        impl TryFrom<String> for $name {
            type Error = String;

            fn try_from(hex: String) -> Result<$name, String> {
                hex.parse()
            }
        }
    };
}

hash_of! {
    /// A dump by its games: the sum of their hashes modulo 2^128, as 32 hex digits in text. Neither
    /// compression nor line ends nor the order of the games nor what stands between them matters.
    DumpHash
}
hash_of! {
    /// A file by its bytes as they lie on the disk, as 32 hex digits in text.
    FileHash
}

/// What the bytes of a dump turned out to be once they were read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Fingerprint {
    /// How many decompressed bytes.
    pub bytes: u64,
    /// Length of the file, unless it was read from standard input.
    pub file_bytes: Option<u64>,
    /// Hash of the file, so that the same file is known again without decompressing it.
    pub file_hash: Option<FileHash>,
}

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

    #[test]
    fn hashes_are_32_hex_digits_in_text() {
        let hash = DumpHash(0xab);
        assert_eq!(hash.to_string(), "000000000000000000000000000000ab");
        assert_eq!(hash.to_string().parse(), Ok(hash));
        assert!("ab".parse::<DumpHash>().is_err());
        assert!("+00000000000000000000000000000ab".parse::<FileHash>().is_err());
    }
}
