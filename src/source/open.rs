//! An open dump: its text, with the count of it and the hash of the file below.

use std::fs::File;
use std::io::{self, BufRead, BufReader, Read};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};

use xxhash_rust::xxh3::Xxh3;

use super::cutter::NoGameWithin;
use super::format::Text;
use super::zstd_frames::{Coming, TooLarge, Windows};
use super::zstd_head::HEAD_BYTES;
use super::{Format, SourceError, wait, zstd_window};
use crate::ledger::FileHash;

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
/// Bytes by which a file that is no text is told.
const TOLD_BY: usize = 4096;

/// How a dump is read.
#[derive(Clone, Debug)]
pub struct Opening {
    /// Counts the compressed bytes as they are read.
    pub raw_bytes: Arc<AtomicU64>,
    /// Reading fails once this is set, even while a pipe says nothing.
    pub stop: Arc<AtomicBool>,
    /// What zstd decompressors may keep, and keep.
    pub windows: Windows,
    /// zstd frames of no more text than this, in bytes, are decompressed by whoever counts them; 0 for none.
    pub whole_frames: usize,
}

impl Default for Opening {
    fn default() -> Opening {
        let windows = Windows { allowed: 1 << 31, largest: Arc::default() };
        Opening { raw_bytes: Arc::default(), stop: Arc::default(), windows, whole_frames: 0 }
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
    name: DumpName,
    text: Text,
    raw: Option<Raw>,
    stop: Arc<AtomicBool>,
}

/// What to say of a dump that cannot be read.
#[derive(Clone, Debug)]
pub(super) struct DumpName {
    name: String,
    format: Format,
    /// The window that is allowed.
    allowed: u64,
}

impl DumpName {
    /// What an error means that is met behind so many bytes of text.
    pub fn failed(&self, at: u64, error: io::Error) -> SourceError {
        let inner = error.get_ref().and_then(|inner| inner.downcast_ref());
        if let Some(&TooLarge(window)) = inner {
            return SourceError::Window { name: self.name.clone(), window, allowed: self.allowed };
        }
        let inner = error.get_ref().and_then(|inner| inner.downcast_ref());
        if let Some(&NoGameWithin(bytes)) = inner {
            let what = format!("no game begins in its first {} MiB", bytes >> 20);
            return SourceError::NoGame { name: self.name.clone(), what };
        }
        SourceError::reading(&self.name, at, self.format != Format::Plain, error)
    }

    /// What to say if there was no game in so many bytes of text.
    pub fn no_game(&self, bytes: u64) -> SourceError {
        SourceError::no_game(&self.name, bytes, self.format)
    }
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
        let ahead = buffered.buffer();
        let seen = [&start, &ahead[..ahead.len().min(TOLD_BY)]].concat();
        if let Some(what) = Format::no_text(&seen) {
            return Err(SourceError::NoGame { name, what: what.to_owned() });
        }
        let Opening { windows, whole_frames, stop, .. } = opening;
        let name = DumpName { name: name.clone(), format, allowed: windows.allowed };
        let chained = Box::new(io::Cursor::new(start).chain(buffered));
        let text = format.decompress(chained, windows, whole_frames).map_err(failed)?;
        Ok(Dump { name, text, raw, stop })
    }

    /// The name for messages.
    pub(super) fn name(&self) -> &DumpName {
        &self.name
    }

    /// The compression.
    pub fn format(&self) -> Format {
        self.name.format
    }

    /// What comes next; of small zstd frames so many that they hold `enough` bytes of text.
    pub(super) fn coming(&mut self, enough: usize) -> io::Result<Coming> {
        refuse_stopped(&self.stop)?;
        self.text.coming(enough)
    }

    /// By what the file is known, as far as it was read, and how many bytes that is.
    pub(super) fn file(&self) -> Option<(FileHash, u64)> {
        self.raw.as_ref().map(|raw| {
            let seen = raw.0.lock().expect("no thread panics while it holds the hash");
            (FileHash(seen.0.digest128()), seen.1)
        })
    }
}

impl Read for Dump {
    /// Reads text up to its end, or up to zstd frames that are handed out.
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        refuse_stopped(&self.stop)?;
        self.text.read(buffer)
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
