//! Compression formats, told by content.

use std::fmt;
use std::io::{self, BufRead, BufReader, Read};

use super::zstd_frames::{Frames, Windows};

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

    /// Undoes the compression; `windows` are those of zstd.
    pub(super) fn decompress<'a, R: BufRead + Send + 'a>(
        self,
        raw: R,
        windows: Windows,
    ) -> io::Result<Box<dyn Read + Send + 'a>> {
        Ok(match self {
            Format::Plain => Box::new(raw),
            Format::Zstd => Box::new(Pieces::of(Frames::new(raw, windows)?)),
            Format::Gzip => Box::new(Pieces::of(flate2::bufread::MultiGzDecoder::new(raw))),
            Format::Bzip2 => Box::new(Pieces::of(bzip2::bufread::MultiBzDecoder::new(raw))),
        })
    }
}

/// Asks a decompressor for pieces of one length, whatever is asked of it. One that meets damage drops what it has
/// decompressed for the same call: that must not be much, nor more or less by who reads.
struct Pieces<R>(BufReader<R>);

impl<R: Read> Pieces<R> {
    fn of(text: R) -> Pieces<R> {
        Pieces(BufReader::with_capacity(1 << 15, text))
    }
}

impl<R: Read> Read for Pieces<R> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        // Not `BufReader::read`, which hands a large buffer on.
        let piece = self.0.fill_buf()?;
        let count = piece.len().min(buffer.len());
        buffer[..count].copy_from_slice(&piece[..count]);
        self.0.consume(count);
        Ok(count)
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
