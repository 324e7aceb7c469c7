//! By what a dump is known.

use std::fmt;
use std::fs::File;
use std::io::{self, Read};
use std::path::Path;
use std::str::FromStr;

use serde::{Deserialize, Serialize};
use xxhash_rust::xxh3::Xxh3;

macro_rules! hash_type {
    ($name:ident, $doc:literal) => {
        #[doc = $doc]
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
        #[serde(try_from = "String", into = "String")]
        pub struct $name(pub u128);

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                write!(f, "{:032x}", self.0)
            }
        }

        impl FromStr for $name {
            type Err = std::num::ParseIntError;

            fn from_str(hex: &str) -> Result<$name, Self::Err> {
                u128::from_str_radix(hex, 16).map($name)
            }
        }

        impl From<$name> for String {
            fn from(hash: $name) -> String {
                hash.to_string()
            }
        }

        impl TryFrom<String> for $name {
            type Error = std::num::ParseIntError;

            fn try_from(hex: String) -> Result<$name, Self::Error> {
                hex.parse()
            }
        }
    };
}

hash_type!(
    DumpHash,
    "The 128-bit XXH3 hash of a dump's decompressed bytes: a dump is the same however it is compressed."
);
hash_type!(FileHash, "The 128-bit XXH3 hash of a file's bytes as they stand on disk.");

/// What a dump turned out to be once it was read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Fingerprint {
    /// Hash of the decompressed bytes.
    pub hash: DumpHash,
    /// How many decompressed bytes.
    pub bytes: u64,
    /// Length of the file, unless it was read from standard input.
    pub file_bytes: Option<u64>,
    /// Hash of the file, so that the same file is known again without decompressing it.
    pub file_hash: Option<FileHash>,
}

/// The hash of a whole file.
pub fn hash_file(path: &Path) -> io::Result<FileHash> {
    let mut file = File::open(path)?;
    let mut hasher = Xxh3::new();
    let mut buffer = vec![0; 1 << 20];
    loop {
        match file.read(&mut buffer) {
            Ok(0) => return Ok(FileHash(hasher.digest128())),
            Ok(count) => hasher.update(&buffer[..count]),
            Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
            Err(error) => return Err(error),
        }
    }
}
