//! Has workers read and count the dumps.

use super::feed::{Feed, ReadDump};
use super::gather::{HotSums, add_sum};
use super::levels;
use super::names::Names;
use super::partitions::Partitions;
use super::runs::{Run, RunWriter};
use super::tally::WorkerTally;
use super::worker::{Worked, Worker};
use super::{BuildError, DumpReport, Phase, Plan, Progress, Stop, Workspace};
use crate::counts::{OpeningTag, Totals};
use crate::source::SourceError;
use crate::store::Store;

/// Everything counted, not yet merged.
#[derive(Default)]
pub(super) struct Counted {
    pub dumps: Vec<DumpReport>,
    pub totals: Totals,
    pub visits: u64,
    pub tags: Vec<OpeningTag>,
    pub names_given_up: bool,
    /// Records in memory.
    pub partitions: Vec<Partitions>,
    pub runs: Vec<Run>,
    /// How many runs were written, before any were merged.
    pub runs_written: usize,
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
    let records = plan.for_records() / plan.threads;
    let feed = Feed::new(plan, old, progress, stop);
    let worked = std::thread::scope(|scope| {
        let workers: Vec<_> = (0..plan.threads)
            .map(|number| {
                let runs = RunWriter::new(workspace, number, stop);
                let worker = Worker::new(&plan.rules, &names, records, runs);
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
    let mut counted = collect(plan, feed.into_read(), worked, &names)?;
    levels::shorten(&mut counted.runs, levels::most_runs(plan), workspace, progress, stop)?;
    Ok(counted)
}

/// Of two failures the one that is no mere consequence of the other.
pub(super) fn first_cause<A, B>(
    a: Result<A, BuildError>,
    b: Result<B, BuildError>,
) -> Result<(A, B), BuildError> {
    match (a, b) {
        (Ok(a), Ok(b)) => Ok((a, b)),
        (Err(BuildError::Interrupted), Err(cause)) | (Err(cause), _) | (Ok(_), Err(cause)) => {
            Err(cause)
        }
    }
}

/// What all threads have made, or of their failures the one that is no mere consequence of another.
pub(super) fn all_or_cause<T>(
    results: impl Iterator<Item = Result<T, BuildError>>,
) -> Result<Vec<T>, BuildError> {
    let mut all = Ok(Vec::new());
    // To the end, whatever fails: the cause may come last.
    for result in results {
        all = first_cause(all, result).map(|(mut all, one)| {
            all.push(one);
            all
        });
    }
    all
}

/// Puts together what reader and workers found.
fn collect(
    plan: &Plan,
    read: Vec<ReadDump>,
    worked: Vec<Worked<'_>>,
    names: &Names,
) -> Result<Counted, BuildError> {
    let mut tally = WorkerTally::default();
    let (mut partitions, mut runs, mut hot) = (Vec::new(), Vec::new(), HotSums::new());
    for part in worked {
        tally.merge(part.tally);
        partitions.push(part.partitions);
        let (more, sums) = part.runs.into_runs();
        runs.extend(more);
        sums.into_iter().for_each(|(key, sum)| add_sum(&mut hot, key, sum));
    }
    let mut dumps = Vec::new();
    for (index, (place, read)) in plan.sources.iter().zip(read).enumerate() {
        let found = std::mem::take(tally.dump(index));
        if found.read == 0 {
            return Err(SourceError::NoGame { name: place.display(), what: read.what }.into());
        }
        dumps.push(found.report(place.name(), read.fingerprint, read.complete));
    }
    let (tags, names_given_up) = names.take_tags();
    Ok(Counted {
        dumps,
        totals: tally.totals,
        visits: tally.visits,
        tags,
        names_given_up,
        partitions,
        runs_written: runs.len(),
        runs,
        hot,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn of_several_failures_the_cause_is_told_and_not_that_others_stopped() {
        let cause = || Err(BuildError::Twice { dump: "a".into(), other: "b".into() });
        let (fine, stopped) = (|| Ok(1), || Err(BuildError::Interrupted));
        for results in [
            [cause(), stopped(), fine()],
            [stopped(), fine(), cause()],
            [stopped(), cause(), stopped()],
        ] {
            let told = all_or_cause(results.into_iter());
            assert!(matches!(told, Err(BuildError::Twice { .. })), "{told:?}");
        }
        let told = all_or_cause([fine(), stopped()].into_iter());
        assert!(matches!(told, Err(BuildError::Interrupted)), "{told:?}");
        assert_eq!(all_or_cause([fine(), fine()].into_iter()).ok(), Some(vec![1, 1]));
    }
}
