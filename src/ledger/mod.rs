//! Ledger: what is known of each dump that was counted, and what a build came to.
//!
//! One entry a dump, [`Source`], from the reading of the dump to the store and to the pages.

mod hash;
mod source;
mod summary;
mod tally;

pub use hash::{DumpHash, FileHash, Fingerprint};
pub use source::Source;
pub use summary::{BuildSummary, CountedDump, Example};
pub use tally::GameTally;
