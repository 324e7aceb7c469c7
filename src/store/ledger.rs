//! Which dumps are in a store.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};

use crate::games::LeftOutTally;

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
    /// A dump by its decompressed bytes, as 32 hex digits in text.
    DumpHash
}
hash_of! {
    /// A file by its bytes as they lie on the disk, as 32 hex digits in text.
    FileHash
}

/// One dump that was counted.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Source {
    /// Its file name, or what stands for stdin.
    pub name: String,
    /// What it is known by.
    pub hash: DumpHash,
    /// Length in bytes, decompressed.
    pub bytes: u64,
    /// Length in bytes of the file, where there was one.
    pub file_bytes: Option<u64>,
    /// The file itself, so that the same file can be refused before it is decompressed.
    pub file_hash: Option<FileHash>,
    /// Games read.
    pub games_read: u64,
    /// Games counted.
    pub games_counted: u64,
    /// Games left out by reason.
    pub left_out: LeftOutTally,
    /// Date of the earliest game counted, `2031-05-17`.
    pub first: Option<String>,
    /// Date of the latest game counted.
    pub last: Option<String>,
    /// Whether it was read to its end.
    pub complete: bool,
}

impl Source {
    /// Whether every game read was either counted or left out.
    pub fn adds_up(&self) -> bool {
        let counted = Some(self.games_counted);
        let sum = self.left_out.rows().fold(counted, |sum, (_, games)| sum?.checked_add(games));
        sum == Some(self.games_read)
    }
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
