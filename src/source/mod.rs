//! Sources: dumps on disk or on standard input, decompressed and cut into batches of whole games.
//!
//! In: a path. Out: [`Batch`]es, and at the end the dump's [`Fingerprint`]. The format (plain, zstd,
//! gzip, bzip2) is told by the first bytes, not by the name. Nothing here looks into a game.

mod batches;
mod error;
mod find;
mod fingerprint;
mod format;
mod open;
mod wait;

pub use batches::{Batch, Batches};
pub use error::{SourceError, plain};
pub use find::find_dumps;
pub use fingerprint::{DumpHash, FileHash, Fingerprint, hash_file};
pub use format::{Format, zstd_window};
pub use open::{Dump, Opening, Place};
