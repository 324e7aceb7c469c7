//! By what a dump is known.
//!
//! A dump is known by the sum of its games' hashes, 128 bits each, line ends settled: whatever
//! compression, line ends, order of games or text between them, the same games are refused. A sum
//! needs no order, so each worker adds up what it reads. Size and hash of the file are kept too:
//! the same file is refused before it is decompressed.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};

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
    /// compression nor line ends nor the order of the games nor the text between them matters.
    DumpHash
}
hash_of! {
    /// A file by its bytes as they lie on the disk, as 32 hex digits in text.
    FileHash
}

/// What the bytes of a dump turned out to be once they were read.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Fingerprint {
    /// Length in bytes, decompressed.
    pub bytes: u64,
    /// Length in bytes of the file, unless it was read from standard input.
    pub file_bytes: Option<u64>,
    /// Hash of the file, so that the same file is known again without decompressing it.
    pub file_hash: Option<FileHash>,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hashes_are_32_hex_digits_in_text() {
        let hash = DumpHash(0xab);
        assert_eq!(hash.to_string(), "000000000000000000000000000000ab");
        assert_eq!(hash.to_string().parse(), Ok(hash));
        assert!("ab".parse::<DumpHash>().is_err());
        assert!("+00000000000000000000000000000ab".parse::<FileHash>().is_err());
    }
}
