//! Sources: dumps on disk or on standard input, decompressed and cut into batches of whole games.
//!
//! In: paths. Out: [`Batch`]es, or zstd frames of which others make them ([`Packed`]), and at the
//! end of each dump its [`Fingerprint`](crate::ledger::Fingerprint). The format (plain, zstd, gzip,
//! bzip2) is known by the first bytes, not by the name. Nothing here looks into a game.

mod batch;
mod batches;
mod cutter;
mod dumps;
mod error;
mod find;
mod format;
mod line_ends;
mod open;
mod seams;
mod wait;
mod zstd_frames;
mod zstd_head;
#[cfg(test)]
mod zstd_tests;

pub use batch::Batch;
pub use batches::{Batches, Part};
pub use dumps::{Dumps, Fed, ReadDump};
pub use error::{SourceError, plain};
pub use find::find_dumps;
pub use format::Format;
pub use open::{Dump, Opening, Place, hash_file};
pub use seams::Packed;
pub use wait::{PATIENCE, open_at_once, patient, refuse_stopped};
pub use zstd_frames::Windows;
