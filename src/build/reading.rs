//! Reads the dumps on one thread and has workers count them on others.

use std::collections::{HashMap, VecDeque};
use std::sync::Arc;
use std::sync::atomic::AtomicU64;

use crossbeam_channel::{Receiver, Sender, bounded};

use super::levels;
use super::names::Names;
use super::partitions::Partitions;
use super::plan::Memory;
use super::runs::{Run, RunWriter};
use super::tally::WorkerTally;
use super::worker::{Worked, Worker};
use super::{BuildError, DumpReport, Phase, Plan, Progress, Stop, Workspace};
use crate::counts::{OpeningTag, Totals};
use crate::source::{Batch, Batches, Dump, DumpHash, Fingerprint, Opening, SourceError};
use crate::store::Store;

/// A batch and the dump it is from.
pub(super) struct DumpBatch {
    /// Place of the dump in the plan.
    pub dump: usize,
    /// The batch.
    pub batch: Batch,
    /// Games found in the dump so far; whoever has looked into the batch lets go of it.
    pub games: Arc<AtomicU64>,
}

/// A dump that was read to its end while others still look into it.
struct Ended {
    games: Arc<AtomicU64>,
    place: usize,
    what: String,
}

/// Fails as soon as it is known that a dump holds no game: those behind it may take hours.
fn refuse_empty(ended: &mut VecDeque<Ended>, plan: &Plan) -> Result<(), BuildError> {
    while let Some(games) = ended.front_mut().and_then(|dump| Arc::get_mut(&mut dump.games)) {
        let found = *games.get_mut();
        let dump = ended.pop_front().expect("it was just looked at");
        if found == 0 {
            let name = plan.sources[dump.place].display();
            return Err(SourceError::NoGame { name, what: dump.what }.into());
        }
    }
    Ok(())
}

/// Everything counted, not yet merged.
#[derive(Default)]
pub(super) struct Counted {
    pub dumps: Vec<DumpReport>,
    pub totals: Totals,
    pub visits: u64,
    pub tags: Vec<OpeningTag>,
    pub names_given_up: bool,
    /// Records in memory; empty if there are runs.
    pub partitions: Vec<Partitions>,
    pub runs: Vec<Run>,
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
    let (to_workers, batches) = bounded::<DumpBatch>(plan.threads + 1);
    let (to_reader, spent) = bounded::<Vec<u8>>(2 * plan.threads + 2);
    let (read, worked) = std::thread::scope(|scope| {
        let workers: Vec<_> = (0..plan.threads)
            .map(|number| {
                let runs = RunWriter::new(workspace, number, stop);
                let worker = Worker::new(&plan.rules, &names, records, runs);
                let (batches, to_reader) = (batches.clone(), to_reader.clone());
                scope.spawn(move || {
                    let worked = worker.work(&batches, &to_reader, progress);
                    if worked.is_err() {
                        stop.set();
                    }
                    worked
                })
            })
            .collect();
        drop((batches, to_reader));
        let read = read_all(plan, old, &to_workers, &spent, progress, stop);
        if read.is_err() {
            stop.set();
        }
        drop(to_workers);
        let joined = workers.into_iter().map(|worker| worker.join().expect("workers do not panic"));
        (read, all_or_cause(joined))
    });
    let (read, worked) = first_cause(read, worked)?;
    let mut counted = collect(plan, read, worked, &names)?;
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

/// One dump read, to its end or to where it breaks off.
struct ReadDump {
    fingerprint: Fingerprint,
    what: String,
    complete: bool,
}

fn read_all(
    plan: &Plan,
    old: Option<&Store>,
    to_workers: &Sender<DumpBatch>,
    spent: &Receiver<Vec<u8>>,
    progress: &Progress,
    stop: &Stop,
) -> Result<Vec<ReadDump>, BuildError> {
    let mut known: HashMap<DumpHash, String> = HashMap::new();
    let (mut read, mut ended) = (Vec::new(), VecDeque::new());
    for (index, place) in plan.sources.iter().enumerate() {
        progress.set_file(index);
        let raw_bytes = progress.raw_bytes_counter();
        let opening = Opening { raw_bytes, stop: stop.flag(), window: plan.memory.bytes() };
        let dump = Dump::open_with(place, opening).map_err(|error| stopped_or(error, stop))?;
        let mut batches = Batches::new(dump, Memory::BATCH, plan.memory.longest_batch());
        let games = Arc::new(AtomicU64::new(0));
        let complete = loop {
            stop.check()?;
            refuse_empty(&mut ended, plan)?;
            match batches.next_batch(spent.try_recv().unwrap_or_default()) {
                Ok(Some(batch)) => {
                    progress.add_text_bytes(batch.text().len() as u64);
                    let games = Arc::clone(&games);
                    if to_workers.send(DumpBatch { dump: index, batch, games }).is_err() {
                        return Err(BuildError::Interrupted);
                    }
                }
                Ok(None) => break true,
                Err(SourceError::Truncated { .. } | SourceError::Damaged { .. })
                    if plan.keep_going && !stop.is_set() =>
                {
                    break false;
                }
                Err(error) => return Err(stopped_or(error, stop)),
            }
        };
        let fingerprint = batches.fingerprint();
        let name = place.display();
        if let Some(store) = old {
            super::dumps::refuse(store, &name, |source| source.hash == fingerprint.hash)?;
        }
        if let Some(other) = known.insert(fingerprint.hash, name.clone()) {
            return Err(BuildError::Twice { dump: name, other });
        }
        let what = if fingerprint.bytes == 0 {
            "it is empty".into()
        } else {
            batches.dump().format().to_string()
        };
        ended.push_back(Ended { games, place: index, what: what.clone() });
        read.push(ReadDump { fingerprint, what, complete });
    }
    Ok(read)
}

/// Reading that fails because of a request to stop is no fault of the dump.
pub(super) fn stopped_or(error: SourceError, stop: &Stop) -> BuildError {
    stop.check().err().unwrap_or(BuildError::Source(error))
}

/// Puts together what reader and workers found.
fn collect(
    plan: &Plan,
    read: Vec<ReadDump>,
    worked: Vec<Worked<'_>>,
    names: &Names,
) -> Result<Counted, BuildError> {
    let mut tally = WorkerTally::default();
    let (mut partitions, mut runs) = (Vec::new(), Vec::new());
    // If one worker has written runs, all records must lie in runs.
    let any_runs = worked.iter().any(|part| part.runs.has_runs());
    for mut part in worked {
        tally.merge(part.tally);
        if any_runs {
            if !part.partitions.is_empty() {
                part.runs.write(&part.partitions)?;
            }
            runs.extend(part.runs.into_runs());
        } else {
            partitions.push(part.partitions);
        }
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
        runs,
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
