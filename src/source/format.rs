//! Compression formats, recognized by content.

use std::fmt;
use std::io::{self, BufRead, BufReader, Read};

use super::zstd_frames::{Coming, Frames, Windows};

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

    /// What a file is that begins like this, if it is uncompressed and no text: bytes that no text
    /// has, and no tag pair among them.
    pub fn no_text(start: &[u8]) -> Option<&'static str> {
        let has_tag = || start.split(|byte| b"\r\n".contains(byte)).any(is_tag_pair);
        match start {
            [0xff, 0xfe, ..] | [0xfe, 0xff, ..] => Some("text in UTF-16: save it as UTF-8"),
            _ if Format::detect(start) != Format::Plain => None,
            // Nothing but zeros may be anything yet.
            _ if start.contains(&0) && start.iter().any(|&byte| byte != 0) && !has_tag() => {
                Some("binary data, no text")
            }
            _ => None,
        }
    }

    /// Undoes the compression; zstd frames of up to `whole_frames` bytes of text are handed out
    /// as they are.
    pub(super) fn decompress(
        self,
        raw: Raw,
        windows: Windows,
        whole_frames: usize,
    ) -> io::Result<Text> {
        let text: Box<dyn Read + Send> = match self {
            Format::Plain => Box::new(raw),
            Format::Zstd => {
                return Ok(Text::Zstd(Box::new(Frames::new(raw, windows, whole_frames)?)));
            }
            Format::Gzip => Box::new(Pieces::of(flate2::bufread::MultiGzDecoder::new(raw))),
            Format::Bzip2 => Box::new(Pieces::of(bzip2::bufread::MultiBzDecoder::new(raw))),
        };
        Ok(Text::Other { text, ended: false })
    }
}

pub(super) type Raw = Box<dyn BufRead + Send>;

/// What a dump holds, decompressed.
pub(super) enum Text {
    /// From zstd frames.
    Zstd(Box<Frames<Raw>>),
    /// From anything else.
    Other { text: Box<dyn Read + Send>, ended: bool },
}

impl Text {
    /// What comes next, as [`Frames::coming`] has it.
    pub fn coming(&mut self, enough: usize) -> io::Result<Coming> {
        match self {
            Text::Zstd(frames) => frames.coming(enough),
            Text::Other { ended: false, .. } => Ok(Coming::Text),
            Text::Other { ended: true, .. } => Ok(Coming::Nothing),
        }
    }
}

impl Read for Text {
    /// Reads up to the end, or up to zstd frames that are handed out.
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        match self {
            Text::Zstd(frames) => frames.read(buffer),
            Text::Other { text, ended } => {
                let count = text.read(buffer)?;
                *ended |= count == 0 && !buffer.is_empty();
                Ok(count)
            }
        }
    }
}

/// Asks a decompressor for pieces of one length, whatever is asked of it. One that meets
/// damage drops what it has decompressed for the same call: that must not be much, nor more or
/// less by who reads.
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

/// Whether a line begins as a tag pair does (PGN standard, section 8.1.1).
fn is_tag_pair(line: &[u8]) -> bool {
    line.strip_prefix(b"[").is_some_and(|pair| {
        let name = pair.iter().take_while(|byte| byte.is_ascii_alphanumeric() || **byte == b'_');
        let len = name.count();
        len > 0 && pair[len..].starts_with(b" \"")
    })
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
