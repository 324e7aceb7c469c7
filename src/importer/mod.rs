//! Build: dumps into a store, with bounded memory, on several threads.
//!
//! In: a checked [`Plan`]. Out: a store file that appears at once and whole, and an [`Outcome`].
//!
//! ```text
//! worker threads  dumps -> batches of whole games, one worker a time  (counting, feed)
//!                 batch -> games -> plies -> records, in partitions   (worker, partitions)
//!                 too many records -> sorted runs on disk             (runs, blocks, sort)
//!                   and sums of the positions that most have          (hot, gather)
//!                 too many runs -> fewer, longer ones                 (levels)
//! merge threads   records, runs and old stores -> positions           (gather, merge)
//! main thread     encoded positions in key order -> the new store     (finish)
//! ```
//!
//! Records are partitioned by the top bits of their keys as they are made. Each partition is sorted
//! and counted alone, so nothing ever needs one big table, and since counts only add up, neither
//! threads nor memory nor the order of files can show in the result.

mod blocks;
mod counting;
mod dumps;
mod error;
mod feed;
mod finish;
mod gather;
mod hot;
mod join;
mod levels;
mod merge;
mod names;
mod partitions;
mod plan;
mod progress;
mod room;
mod runs;
mod sort;
mod stop;
mod tally;
mod worker;
mod workspace;

use std::time::Instant;

pub use error::BuildError;
pub use join::join;
pub use plan::{Memory, Plan};
pub use progress::{Phase, Progress};
pub use room::Tight;
#[doc(hidden)]
pub use sort::sort_into;
pub use stop::Stop;
pub use tally::{DumpReport, Example};
pub use workspace::Workspace;

use crate::store::Store;

/// What a build did.
#[derive(Clone, Debug)]
pub struct Outcome {
    /// The dumps of this build, in the order read.
    pub dumps: Vec<DumpReport>,
    /// Half-moves in the positions of the finished store.
    pub visits_kept: u64,
    /// Half-moves in the positions dropped now.
    pub visits_dropped: u64,
    /// Positions in the finished store.
    pub positions: u64,
    /// Positions dropped because they have too few games.
    pub positions_dropped: u64,
    /// Size of the store in bytes.
    pub store_bytes: u64,
    /// Sorted runs that went to disk.
    pub runs: usize,
    /// Bytes of decompressed text.
    pub text_bytes: u64,
    /// Wall time in seconds.
    pub seconds: f64,
}

/// Builds or adds to the store of the plan.
///
/// # Errors
/// Whatever stops it, on purpose or not; the store is then as it was.
pub fn build(plan: &Plan, progress: &Progress, stop: &Stop) -> Result<Outcome, BuildError> {
    run(plan, progress, stop).map_err(|error| error.about(&plan.store))
}

fn run(plan: &Plan, progress: &Progress, stop: &Stop) -> Result<Outcome, BuildError> {
    let started = Instant::now();
    let plan = &plan.within_memory();
    let workspace = Workspace::open(&plan.store, plan.temp_dir.as_deref())?;
    let old = plan.open_old()?;
    dumps::refuse_known(&plan.sources, old.as_ref(), stop)?;
    room::check(plan, &workspace, old.as_slice(), progress)?;
    let counted = counting::count(plan, &workspace, old.as_ref(), progress, stop)?;
    finish::write(plan, &workspace, old.as_slice(), counted, progress, stop, started)
}

impl Plan {
    /// The store to add to, if there is one, with rules that agree.
    fn open_old(&self) -> Result<Option<Store>, BuildError> {
        if !self.store.exists() {
            return Ok(None);
        }
        let store = Store::open_cached(&self.store, self.memory.for_old_stores(1))?;
        match store.header().rules.difference(&self.rules) {
            None => Ok(Some(store)),
            Some((option, theirs, ours)) => {
                Err(BuildError::OtherRules { option, store: self.store.clone(), theirs, ours })
            }
        }
    }
}
