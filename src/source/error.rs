//! What can be wrong with a source.

use std::io;

use thiserror::Error;

use super::Format;

/// A dump that cannot be read. Each message is one line: what, where, what to do.
#[derive(Debug, Error)]
#[non_exhaustive]
pub enum SourceError {
    /// The path cannot be opened.
    #[error("cannot open {name}: {}", plain(.source))]
    Open {
        /// The path as given.
        name: String,
        /// Why.
        source: io::Error,
    },
    /// A folder without any dump.
    #[error(
        "no dump in the folder {name}: files there must have .pgn in their names, or be named one by one"
    )]
    EmptyFolder {
        /// The path as given.
        name: String,
    },
    /// The dump ends too early.
    #[error(
        "{name} breaks off after {at} bytes of its games: the download is not whole; fetch it again"
    )]
    Truncated {
        /// The dump.
        name: String,
        /// Bytes of decompressed text read before.
        at: u64,
    },
    /// The compressed stream is damaged.
    #[error(
        "{name} is damaged {}; fetch it again",
        how_damaged(.source, *.at)
    )]
    Damaged {
        /// The dump.
        name: String,
        /// Bytes of decompressed text read before.
        at: u64,
        /// What the decompressor said, in its own words.
        source: io::Error,
    },
    /// A zstd frame refers further back than there is memory for.
    #[error(
        "{name} needs a window of {} MiB to decompress, --memory allows {} MiB: give more",
        .window.div_ceil(1 << 20), .allowed >> 20
    )]
    Window {
        /// The dump.
        name: String,
        /// Bytes that the frame wants kept.
        window: u64,
        /// Bytes allowed.
        allowed: u64,
    },
    /// Reading failed.
    #[error("cannot read {name} after byte {at} of its games: {}", plain(.source))]
    Read {
        /// The dump.
        name: String,
        /// Bytes of decompressed text read before.
        at: u64,
        /// Why.
        source: io::Error,
    },
    /// There is nothing to count in it.
    #[error("no game in {name}: it holds no PGN ({what})")]
    NoGame {
        /// The dump.
        name: String,
        /// What it is instead, as far as one can tell.
        what: String,
    },
}

/// The message of the operating system without its number.
pub fn plain(error: &io::Error) -> String {
    let text = error.to_string();
    match text.find(" (os error") {
        Some(end) => text[..end].to_lowercase(),
        None => text,
    }
}

/// What a decompressor has met, and where; without its own words for damage, but with them where
/// they say more.
fn how_damaged(error: &io::Error, at: u64) -> String {
    let words = error.to_string();
    let told = words.to_lowercase();
    let is_about = |parts: &[&str]| parts.iter().any(|part| told.contains(part));
    if is_about(&["checksum", "crc"]) {
        // A checksum comes behind what it is of.
        format!("at or before byte {at} of its games: they do not fit their checksum")
    } else if is_about(&["unsupported", "version", "dictionary", "memory"]) {
        format!("after byte {at} of its games: what follows cannot be decompressed ({words})")
    } else {
        format!("after byte {at} of its games: what follows cannot be decompressed")
    }
}

impl SourceError {
    /// What to say of a source of so many bytes of text without a game.
    pub(super) fn no_game(name: &str, bytes: u64, format: Format) -> SourceError {
        let what = if bytes == 0 { "it is empty".into() } else { format.to_string() };
        SourceError::NoGame { name: name.to_owned(), what }
    }

    /// Sorts an error met while reading by what it means for the dump.
    pub(super) fn reading(name: &str, at: u64, compressed: bool, source: io::Error) -> SourceError {
        let name = name.to_owned();
        match source.kind() {
            io::ErrorKind::UnexpectedEof => SourceError::Truncated { name, at },
            _ if source.raw_os_error().is_none() && compressed => {
                SourceError::Damaged { name, at, source }
            }
            _ => SourceError::Read { name, at, source },
        }
    }
}
