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

    /// Undoes the compression; zstd may keep `window` bytes of text in memory.
    pub(super) fn decompress<'a, R: BufRead + Send + 'a>(
        self,
        raw: R,
        window: u64,
    ) -> io::Result<Box<dyn Read + Send + 'a>> {
        Ok(match self {
            Format::Plain => Box::new(raw),
            Format::Zstd => {
                let mut decoder = zstd::Decoder::with_buffer(raw)?;
                decoder.window_log_max(window.max(1).ilog2().clamp(LEAST_LOG, MOST_LOG))?;
                Box::new(decoder)
            }
            Format::Gzip => Box::new(flate2::bufread::MultiGzDecoder::new(raw)),
            Format::Bzip2 => Box::new(bzip2::bufread::MultiBzDecoder::new(raw)),
        })
    }
}

/// The logarithms that libzstd takes; 2 GiB is the most that the format's long mode makes.
const LEAST_LOG: u32 = 10;
const MOST_LOG: u32 = 31;

/// How much text a zstd frame that starts here wants to be kept in memory, in bytes
/// (RFC 8878, 3.1.1.1); `None` if no whole frame header stands here.
pub fn zstd_window(start: &[u8]) -> Option<u64> {
    let header = start.strip_prefix(&[0x28, 0xb5, 0x2f, 0xfd])?;
    let (&descriptor, behind) = header.split_first()?;
    if descriptor & 0x20 == 0 {
        let window = *behind.first()?;
        let base = 1u64 << (10 + (window >> 3));
        return Some(base + base / 8 * u64::from(window & 7));
    }
    // A single segment: the window is the content, whose size stands behind the dictionary's number.
    let dictionary = [0, 1, 2, 4][usize::from(descriptor & 3)];
    let field = behind.get(dictionary..)?;
    let size = |bytes: usize| {
        let field = field.get(..bytes)?;
        Some(field.iter().rev().fold(0, |size, &byte| size << 8 | u64::from(byte)))
    };
    match descriptor >> 6 {
        0 => size(1),
        1 => Some(size(2)? + 256),
        2 => size(4),
        _ => size(8),
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

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::Write;

    #[test]
    fn the_window_of_a_frame_is_read_from_its_head() {
        for log in [17, 24, 27] {
            let mut encoder = zstd::Encoder::new(Vec::new(), 1).expect("memory");
            encoder.window_log(log).expect("a window");
            encoder.write_all(b"1. e4 e5 1-0").expect("memory");
            let frame = encoder.finish().expect("memory");
            assert_eq!(zstd_window(&frame), Some(1 << log));
            assert_eq!(zstd_window(&frame[..5]), None);
        }
        for length in [3, 700, 70_000] {
            let frame = zstd::bulk::compress(&vec![b'x'; length], 1).expect("memory");
            assert_eq!(zstd_window(&frame), Some(length as u64));
        }
        assert_eq!(zstd_window(b"[Event \"a\"]"), None);
    }
}
