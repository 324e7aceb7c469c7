//! Compression formats, told by content.

use std::fmt;

/// How a dump is compressed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Format {
    /// Not at all.
    Plain,
    /// zstd (RFC 8878), any number of frames, skippable ones included.
    Zstd,
    /// gzip (RFC 1952), any number of members.
    Gzip,
    /// bzip2, any number of streams.
    Bzip2,
}

impl Format {
    /// From the first bytes of a file.
    pub fn detect(start: &[u8]) -> Format {
        match start {
            [0x28, 0xb5, 0x2f, 0xfd, ..] | [0x50..=0x5f, 0x2a, 0x4d, 0x18, ..] => Format::Zstd,
            [0x1f, 0x8b, ..] => Format::Gzip,
            [b'B', b'Z', b'h', b'1'..=b'9', ..] => Format::Bzip2,
            _ => Format::Plain,
        }
    }
}

impl fmt::Display for Format {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Format::Plain => "plain text",
            Format::Zstd => "zstd",
            Format::Gzip => "gzip",
            Format::Bzip2 => "bzip2",
        })
    }
}
