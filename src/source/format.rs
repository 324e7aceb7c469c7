//! Compression formats, told by content.

use std::fmt;
use std::io::{self, BufRead, Read};

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

/// Windows up to 2 GiB are accepted, the most that the format's long mode makes.
const ZSTD_WINDOW_LOG_MAX: u32 = 31;

impl Format {
    /// How many bytes [`Format::detect`] wants to see.
    pub const MAGIC_BYTES: usize = 4;

    /// From the first bytes of a file.
    pub fn detect(start: &[u8]) -> Format {
        match start {
            [0x28, 0xb5, 0x2f, 0xfd, ..] | [0x50..=0x5f, 0x2a, 0x4d, 0x18, ..] => Format::Zstd,
            [0x1f, 0x8b, ..] => Format::Gzip,
            [b'B', b'Z', b'h', b'1'..=b'9', ..] => Format::Bzip2,
            _ => Format::Plain,
        }
    }

    /// Undoes the compression.
    pub(super) fn decompress<'a, R: BufRead + Send + 'a>(
        self,
        raw: R,
    ) -> io::Result<Box<dyn Read + Send + 'a>> {
        Ok(match self {
            Format::Plain => Box::new(raw),
            Format::Zstd => {
                let mut decoder = zstd::Decoder::with_buffer(raw)?;
                decoder.window_log_max(ZSTD_WINDOW_LOG_MAX)?;
                Box::new(decoder)
            }
            Format::Gzip => Box::new(flate2::bufread::MultiGzDecoder::new(raw)),
            Format::Bzip2 => Box::new(bzip2::bufread::MultiBzDecoder::new(raw)),
        })
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
