//! Has workers read and count the dumps.

use std::sync::Mutex;

use super::error::all_or_cause;
use super::feed::Feed;
use super::hot::HotSums;
use super::levels;
use super::names::Names;
use super::partitions::Partitions;
use super::runs::{Run, RunWriter};
use super::tally::WorkerTally;
use super::worker::{Worked, Worker};
use super::{BuildError, Phase, Plan, Progress, Stop};
use crate::counts::{OpeningTag, Totals};
use crate::files::Workspace;
use crate::ledger::{CountedDump, DumpHash};
use crate::source::ReadDump;
use crate::store::Store;

/// Everything counted.
#[derive(Default)]
pub(super) struct Counted {
    pub found: Found,
    pub records: Records,
}

/// What was found in the dumps, as far as it is final.
#[derive(Default)]
pub(super) struct Found {
    pub dumps: Vec<CountedDump>,
    pub totals: Totals,
    pub visits: u64,
    pub names_given_up: bool,
    /// How many runs were written, before any were merged.
    pub runs_written: usize,
}

/// Half-moves not yet merged into positions.
#[derive(Default)]
pub(super) struct Records {
    pub tags: Vec<OpeningTag>,
    /// Records in memory, which go as they are merged.
    pub partitions: Vec<Mutex<Partitions>>,
    pub runs: Vec<Run>,
    /// What the runs leave out.
    pub hot: HotSums,
}

/// Reads and counts all dumps of the plan.
pub(super) fn count(
    plan: &Plan,
    workspace: &Workspace,
    old: Option<&Store>,
    progress: &Progress,
    stop: &Stop,
) -> Result<Counted, BuildError> {
    progress.set_phase(Phase::Reading);
    let names = Names::default();
    let hot = plan.for_hot_sums() / plan.threads;
    let feed = Feed::new(plan, old, progress, stop);
    let worked = std::thread::scope(|scope| {
        let workers: Vec<_> = (0..plan.threads)
            .map(|number| {
                let runs = RunWriter::new(workspace, number, hot, stop);
                let worker = Worker::new(plan, &names, runs);
                let feed = &feed;
                scope.spawn(move || {
                    let worked = worker.work(feed, progress);
                    if worked.is_err() {
                        stop.set();
                    }
                    worked
                })
            })
            .collect();
        all_or_cause(workers.into_iter().map(|worker| worker.join().expect("workers do not panic")))
    })?;
    let mut counted = collect(plan, feed.into_read()?, worked, &names);
    levels::shorten(&mut counted.records.runs, levels::most_runs(plan), workspace, progress, stop)?;
    Ok(counted)
}

/// Puts together what was read and what workers found in it.
fn collect(
    plan: &Plan,
    read: Vec<(ReadDump, DumpHash)>,
    worked: Vec<Worked<'_>>,
    names: &Names,
) -> Counted {
    let mut tally = WorkerTally::default();
    let (mut partitions, mut runs, mut hot) = (Vec::new(), Vec::new(), HotSums::default());
    for part in worked {
        tally.merge(part.tally);
        partitions.push(Mutex::new(part.partitions));
        let (more, sums) = part.runs.into_runs();
        runs.extend(more);
        hot.merge(sums);
    }
    let mut dumps = Vec::new();
    for (index, (place, (read, hash))) in plan.sources.iter().zip(read).enumerate() {
        let found = std::mem::take(tally.dump(index));
        dumps.push(found.counted(place.name(), hash, read));
    }
    let (tags, names_given_up) = names.take_tags();
    let WorkerTally { totals, visits, .. } = tally;
    let found = Found { dumps, totals, visits, names_given_up, runs_written: runs.len() };
    Counted { found, records: Records { tags, partitions, runs, hot } }
}
