//! An open dump: its text, with the count of it and the hash of the file below.

use std::fs::File;
use std::io::{self, BufReader, Read};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::{Arc, Mutex};

use xxhash_rust::xxh3::Xxh3;

use super::cutter::NoGameWithin;
use super::format::Text;
use super::wait::{self, refuse_stopped};
use super::zstd_frames::{Coming, TooLarge, Windows};
use super::zstd_head::{HEAD_BYTES, zstd_window};
use super::{Format, SourceError};
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
            Place::File(path) if path.is_file() => File::open(path)
                .and_then(head)
                .ok()
                .and_then(|start| zstd_window(&start))
                .unwrap_or(0),
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
/// Bytes in which a file that is no text is recognized.
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
    /// zstd frames of no more text than this, in bytes, are decompressed by the worker that counts
    /// them; 0 for none.
    pub whole_frames: usize,
}

impl Default for Opening {
    fn default() -> Opening {
        let windows = Windows { allowed: 1 << 31, largest: Arc::default() };
        Opening { raw_bytes: Arc::default(), stop: Arc::default(), windows, whole_frames: 0 }
    }
}

/// The first bytes of a file, enough to know its format and window.
fn head(input: impl Read) -> io::Result<Vec<u8>> {
    let mut start = Vec::with_capacity(HEAD_BYTES);
    input.take(HEAD_BYTES as u64).read_to_end(&mut start)?;
    Ok(start)
}

/// A dump being read.
pub struct Dump {
    label: DumpLabel,
    text: Text,
    seen: Option<Seen>,
    stop: Arc<AtomicBool>,
}

/// What messages say of a dump.
#[derive(Clone, Debug)]
pub(super) struct DumpLabel {
    name: String,
    format: Format,
    /// The window that is allowed.
    allowed: u64,
}

impl DumpLabel {
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

/// The hash and the length of what was read of a file, shared with the reader below the
/// decompressor.
#[derive(Clone, Default)]
struct Seen(Arc<Mutex<(Xxh3, u64)>>);

impl Seen {
    fn add(&self, bytes: &[u8]) {
        let mut seen = self.0.lock().expect("no thread panics while it holds the hash");
        seen.0.update(bytes);
        seen.1 += bytes.len() as u64;
    }

    fn so_far(&self) -> (FileHash, u64) {
        let seen = self.0.lock().expect("no thread panics while it holds the hash");
        (FileHash(seen.0.digest128()), seen.1)
    }
}

impl Dump {
    /// Opens a dump to be read like this.
    pub fn open_with(place: &Place, opening: Opening) -> Result<Dump, SourceError> {
        let name = place.display();
        let failed = |source| SourceError::Open { name: name.clone(), source };
        let (input, seen) = match place {
            Place::Stdin => (wait::stdin(&opening.stop), None),
            Place::File(path) => (wait::open(path, &opening.stop), Some(Seen::default())),
        };
        let input = input.map_err(failed)?;
        let Opening { raw_bytes, stop, .. } = &opening;
        let (raw_bytes, stop) = (Arc::clone(raw_bytes), Arc::clone(stop));
        let watched = Watched { input, seen: seen.clone(), raw_bytes, stop: Arc::clone(&stop) };
        let mut buffered = BufReader::with_capacity(READ_BUFFER, watched);
        let start = head(&mut buffered).map_err(failed)?;
        let format = Format::detect(&start);
        let ahead = buffered.buffer();
        let told_by = [&start, &ahead[..ahead.len().min(TOLD_BY)]].concat();
        if let Some(what) = Format::no_text(&told_by) {
            return Err(SourceError::NoGame { name, what: what.to_owned() });
        }
        let Opening { windows, whole_frames, stop, .. } = opening;
        let label = DumpLabel { name: name.clone(), format, allowed: windows.allowed };
        let chained = Box::new(io::Cursor::new(start).chain(buffered));
        let text = format.decompress(chained, windows, whole_frames).map_err(failed)?;
        Ok(Dump { label, text, seen, stop })
    }

    /// The name for messages.
    pub(super) fn name(&self) -> &DumpLabel {
        &self.label
    }

    /// The compression.
    pub fn format(&self) -> Format {
        self.label.format
    }

    /// What comes next; of small zstd frames so many that they hold `enough` bytes of text.
    pub(super) fn coming(&mut self, enough: usize) -> io::Result<Coming> {
        refuse_stopped(&self.stop)?;
        self.text.coming(enough)
    }

    /// By what the file is known, as far as it was read, and how many bytes that is.
    pub(super) fn file(&self) -> Option<(FileHash, u64)> {
        self.seen.as_ref().map(Seen::so_far)
    }
}

impl Read for Dump {
    /// Reads text up to its end, or up to zstd frames that are handed out.
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        refuse_stopped(&self.stop)?;
        self.text.read(buffer)
    }
}

/// The hash of a whole file.
///
/// # Errors
/// Where the file cannot be read, or once `stop` is set.
pub fn hash_file(path: &Path, stop: &Arc<AtomicBool>) -> io::Result<FileHash> {
    let (input, seen) = (Box::new(File::open(path)?), Seen::default());
    let (raw_bytes, stop) = (Arc::default(), Arc::clone(stop));
    let watched = Watched { input, seen: Some(seen.clone()), raw_bytes, stop };
    io::copy(&mut BufReader::with_capacity(1 << 20, watched), &mut io::sink())?;
    Ok(seen.so_far().0)
}

/// Counts and hashes what passes. Few bytes may decompress to more than anybody waits for, and many
/// to none: so both sides of the decompressor ask whether to stop.
struct Watched {
    input: Box<dyn Read + Send>,
    seen: Option<Seen>,
    raw_bytes: Arc<AtomicU64>,
    stop: Arc<AtomicBool>,
}

impl Read for Watched {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        refuse_stopped(&self.stop)?;
        let count = self.input.read(buffer)?;
        self.raw_bytes.fetch_add(count as u64, Ordering::Relaxed);
        if let Some(seen) = &self.seen {
            seen.add(&buffer[..count]);
        }
        Ok(count)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::Write;

    #[test]
    fn a_request_to_stop_ends_the_hashing_of_a_file() {
        let mut file = tempfile::NamedTempFile::new().expect("a temporary file");
        file.write_all(&[b'x'; 3 << 20]).expect("it is writable");
        let hash = |stop: bool| hash_file(file.path(), &Arc::new(AtomicBool::new(stop)));
        assert!(hash(false).is_ok() && hash(true).is_err());
    }
}
