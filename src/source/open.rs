//! An open dump: its text, with the count of it and the hash of the file below.

use std::fs::File;
use std::io::{self, BufRead, BufReader, Read};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};

use xxhash_rust::xxh3::Xxh3;

use super::line_ends::LineEnds;
use super::zstd_frames::{HEAD_BYTES, TooLarge, Windows};
use super::{Format, SourceError, wait, zstd_window};
use crate::ledger::{FileHash, Fingerprint};

/// Where a dump is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Place {
    /// Standard input.
    Stdin,
    /// A file.
    File(PathBuf),
}

impl Place {
    /// The name for messages and the ledger: the file's name without its folders.
    pub fn name(&self) -> String {
        match self {
            Place::Stdin => "standard input".into(),
            Place::File(path) => path.file_name().map_or_else(
                || path.display().to_string(),
                |name| name.to_string_lossy().into_owned(),
            ),
        }
    }

    /// As the user would type it.
    pub fn display(&self) -> String {
        match self {
            Place::Stdin => "standard input".into(),
            Place::File(path) => path.display().to_string(),
        }
    }

    /// The window that the first zstd frame asks for, in bytes; 0 if that is not known beforehand.
    pub fn window(&self) -> u64 {
        match self {
            Place::File(path) if path.is_file() => {
                head(path).ok().and_then(|start| zstd_window(&start)).unwrap_or(0)
            }
            _ => 0,
        }
    }

    /// Size on disk in bytes, where there is one.
    pub fn file_bytes(&self) -> Option<u64> {
        match self {
            Place::Stdin => None,
            Place::File(path) => path.metadata().ok().map(|metadata| metadata.len()),
        }
    }
}

const READ_BUFFER: usize = 1 << 17;

/// How a dump is read.
#[derive(Clone, Debug)]
pub struct Opening {
    /// Counts the compressed bytes as they are read.
    pub raw_bytes: Arc<AtomicU64>,
    /// Reading fails once this is set, even while a pipe says nothing.
    pub stop: Arc<AtomicBool>,
    /// What zstd decompressors may keep, and keep.
    pub windows: Windows,
}

impl Default for Opening {
    fn default() -> Opening {
        let windows = Windows { allowed: 1 << 31, largest: Arc::default() };
        Opening { raw_bytes: Arc::default(), stop: Arc::default(), windows }
    }
}

/// The first bytes of a file, enough to tell its format and window.
fn head(path: &Path) -> io::Result<Vec<u8>> {
    let mut start = Vec::with_capacity(HEAD_BYTES);
    File::open(path)?.take(HEAD_BYTES as u64).read_to_end(&mut start)?;
    Ok(start)
}

/// A dump being read.
pub struct Dump {
    name: String,
    format: Format,
    text: LineEnds<Box<dyn Read + Send>>,
    bytes: u64,
    raw: Option<Raw>,
    stop: Arc<AtomicBool>,
    /// The window that is allowed.
    allowed: u64,
}

/// Few bytes may decompress to more than anybody waits for, and many to none: both sides of the
/// decompressor ask whether to stop.
fn refuse_stopped(stop: &AtomicBool) -> io::Result<()> {
    if stop.load(Ordering::Relaxed) { Err(io::Error::other("stopped")) } else { Ok(()) }
}

/// What the compressed side has seen, shared with the reader below the decompressor.
#[derive(Clone)]
struct Raw(Arc<std::sync::Mutex<(Box<Xxh3>, u64)>>);

impl Dump {
    /// Opens a dump to be read like this.
    pub fn open_with(place: &Place, opening: Opening) -> Result<Dump, SourceError> {
        let name = place.display();
        let failed = |source| SourceError::Open { name: name.clone(), source };
        let (input, raw): (Box<dyn Read + Send>, _) = match place {
            Place::Stdin => (wait::stdin(&opening.stop).map_err(failed)?, None),
            Place::File(path) => {
                let raw = Raw(Arc::new(std::sync::Mutex::new((Box::new(Xxh3::new()), 0))));
                (wait::open(path, &opening.stop).map_err(failed)?, Some(raw))
            }
        };
        let Opening { raw_bytes, stop, .. } = &opening;
        let (raw_bytes, stop) = (Arc::clone(raw_bytes), Arc::clone(stop));
        let watched = Watched { input, raw: raw.clone(), raw_bytes, stop: Arc::clone(&stop) };
        let mut buffered = BufReader::with_capacity(READ_BUFFER, watched);
        let start = fill_to(&mut buffered, HEAD_BYTES).map_err(failed)?;
        let format = Format::detect(&start);
        let (allowed, stop) = (opening.windows.allowed, opening.stop);
        let chained = io::Cursor::new(start).chain(buffered);
        let text = format.decompress(chained, opening.windows).map_err(failed)?;
        Ok(Dump { name, format, text: LineEnds::new(text), bytes: 0, raw, stop, allowed })
    }

    /// The name for messages.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The compression.
    pub fn format(&self) -> Format {
        self.format
    }

    /// Bytes of text read so far.
    pub fn text_bytes(&self) -> u64 {
        self.bytes
    }

    /// Reads text with its line ends settled; 0 at the end.
    pub fn read(&mut self, buffer: &mut [u8]) -> Result<usize, SourceError> {
        loop {
            match refuse_stopped(&self.stop).and_then(|()| self.text.read(buffer)) {
                Ok(count) => {
                    self.bytes += count as u64;
                    return Ok(count);
                }
                Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
                Err(error) => return Err(self.failed(error)),
            }
        }
    }

    fn failed(&self, error: io::Error) -> SourceError {
        let inner = error.get_ref().and_then(|inner| inner.downcast_ref());
        if let Some(&TooLarge(window)) = inner {
            return SourceError::Window { name: self.name.clone(), window, allowed: self.allowed };
        }
        SourceError::reading(&self.name, self.bytes, self.format != Format::Plain, error)
    }

    /// What was read so far.
    pub fn fingerprint(&self) -> Fingerprint {
        let raw = self.raw.as_ref().map(|raw| {
            let seen = raw.0.lock().expect("no thread panics while it holds the hash");
            (FileHash(seen.0.digest128()), seen.1)
        });
        Fingerprint {
            bytes: self.bytes,
            file_bytes: raw.map(|(_, bytes)| bytes),
            file_hash: raw.map(|(hash, _)| hash),
        }
    }
}

/// Reads until `count` bytes are there or the input ends.
fn fill_to(input: &mut impl BufRead, count: usize) -> io::Result<Vec<u8>> {
    let mut start = Vec::with_capacity(count);
    input.take(count as u64).read_to_end(&mut start)?;
    Ok(start)
}

/// Counts and hashes what passes.
struct Watched {
    input: Box<dyn Read + Send>,
    raw: Option<Raw>,
    raw_bytes: Arc<AtomicU64>,
    stop: Arc<AtomicBool>,
}

impl Read for Watched {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        refuse_stopped(&self.stop)?;
        let count = self.input.read(buffer)?;
        self.raw_bytes.fetch_add(count as u64, Ordering::Relaxed);
        if let Some(raw) = &self.raw {
            let mut seen = raw.0.lock().expect("no thread panics while it holds the hash");
            seen.0.update(&buffer[..count]);
            seen.1 += count as u64;
        }
        Ok(count)
    }
}
