//! Build: dumps into a store, with bounded memory, on several threads.
//!
//! In: a checked [`Plan`]. Out: a store file that appears at once and whole, and a
//! [`BuildSummary`].
//!
//! ```text
//! worker threads  dumps -> their parts, one worker at a time          (counting, feed)
//!                 part -> batches of whole games                      (source)
//!                 batch -> games -> plies -> records, in partitions   (worker, partitions)
//!                 too many records -> sorted runs on disk             (runs, blocks, sort)
//!                   and sums of the positions that most have          (hot, gather)
//!                 too many runs -> fewer, longer ones                 (levels)
//! merge threads   records, runs and old stores -> positions           (sieve, sort, gather, merge)
//! main thread     encoded positions in key order -> the new store     (finish)
//! ```
//!
//! Records are partitioned by the top bits of their keys as they are made. Each partition is sorted
//! and counted alone, so nothing ever needs one big table, and since counts only add up, neither
//! threads nor memory nor the order of files can show in the result.
//!
//! # Why records are sorted
//!
//! Nearly all positions of a dump are different, and nearly all occur once. A map of them does not
//! fit into caches, soon not into memory, and each of its updates is a cache miss. Records of 20
//! bytes go into 256 partitions by the top bits of the key; a partition is sorted and added up
//! while it is near the processor, and what does not fit is written as compact sorted runs and
//! merged later by the same code. Rare positions are dropped at the end, never on the way: so what
//! one build keeps is exact. Two records of three are theirs: in a build that adds to no store, a
//! table of counters takes most of them out before a partition is sorted (`sieve`).
//!
//! # Runs, memory and disk
//!
//! - A run is a file of 256 segments of blocks (`blocks`), about 11 bytes a record.
//! - Positions with very many records are added up in memory when a run is written (`hot`), as long
//!   as their share of the memory lasts: nearly a fifth of all records never goes to disk. The
//!   merge does the same where a slice grows too large.
//! - A partition that holds a sixteenth of all records ends a run early: it is sorted into a copy,
//!   which must stay small. So it is with `--half-moves 1`, where all records have one key.
//! - The last merge keeps a decoded block of each run and thread, so the number of runs is bounded
//!   by memory and by 200 files (`levels`); beyond that the shortest are merged in groups of 16.
//! - What a worker holds at the end stays in memory, and the merge takes it from there. Runs are
//!   removed as soon as they are merged, before the store is made durable, so that what of them
//!   waits for the disk never gets there.
//! - `plan` shares out `--memory`. A thread takes at least 32 MiB, so little memory means
//!   fewer threads.
//! - `join` is the last half of a build: the merge with no records and any number of old stores.
//! - A position that is absent from an input may have had up to keep-from - 1 games there
//!   (`may_lack`). Adding stores that number up with the position, and every answer that rests
//!   on it says so.
#![doc = include_str!("../pages/help/month.md")]

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
mod sieve;
mod sort;
mod stop;
mod tally;
mod worker;

use std::time::Instant;

pub use error::BuildError;
pub use join::join;
pub use plan::{Memory, Plan};
pub use progress::{Phase, Progress, Tight};
#[doc(hidden)]
pub use sort::sort_into;
pub use stop::Stop;

use crate::files::Workspace;
use crate::ledger::BuildSummary;
use crate::store::Store;

/// Builds or adds to the store of the plan.
///
/// # Errors
/// Whatever stops it, on purpose or not; the store is then as it was.
pub fn build(plan: &Plan, progress: &Progress, stop: &Stop) -> Result<BuildSummary, BuildError> {
    let plan = &plan.within_memory();
    within_workspace(plan, progress, |workspace| run(plan, workspace, progress, stop))
}

/// Works in a folder of its own, under the lock of the plan's store.
fn within_workspace(
    plan: &Plan,
    progress: &Progress,
    work: impl FnOnce(&Workspace) -> Result<BuildSummary, BuildError>,
) -> Result<BuildSummary, BuildError> {
    let mut workspace = Workspace::open(&plan.store, plan.temp_dir.as_deref())?;
    progress.note_left(workspace.take_left());
    let summary = work(&workspace);
    progress.note_left(workspace.close());
    summary.map_err(|error| error.about(&plan.store))
}

fn run(
    plan: &Plan,
    workspace: &Workspace,
    progress: &Progress,
    stop: &Stop,
) -> Result<BuildSummary, BuildError> {
    let started = Instant::now();
    let old = plan.open_old()?;
    dumps::refuse_known(&plan.sources, old.as_ref(), stop)?;
    room::check(plan, workspace, old.as_slice(), progress)?;
    let counted = counting::count(plan, workspace, old.as_ref(), progress, stop)?;
    finish::write(plan, workspace, old.into_iter().collect(), counted, progress, stop, started)
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
