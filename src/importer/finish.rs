//! Writes the new store and puts it in its place.

use std::collections::VecDeque;
use std::time::Instant;

use crossbeam_channel::{Receiver, Sender, bounded};

use super::counting::{Counted, Found, Records};
use super::error::{all_or_cause, first_cause};
use super::merge::{Dropped, Merger, OldPiece, OldPositions, Piece};
use super::partitions::{PARTITIONS, partition_of};
use super::{BuildError, Phase, Plan, Progress, Stop};
use crate::counts::PositionCounts;
use crate::files::{Workspace, put_all};
use crate::ledger::BuildSummary;
use crate::store::{Header, PositionSink, Store, StoreError, write_store};

/// Pieces under way from each merge thread.
const PIECES: usize = 4;
/// Positions of an old store that travel together.
const OLD_PIECE: usize = 512;

/// Merges what was counted with the old stores into a new one that takes the place of the plan's.
pub(super) fn write(
    plan: &Plan,
    workspace: &Workspace,
    old: Vec<Store>,
    counted: Counted,
    progress: &Progress,
    stop: &Stop,
    started: Instant,
) -> Result<BuildSummary, BuildError> {
    progress.set_phase(Phase::Merging);
    let temporary = workspace.new_file();
    let Counted { found, records } = counted;
    let (cache, flag) = (plan.memory.for_new_store(), stop.flag());
    let written = write_store(&temporary, cache, &flag, |sink| {
        // What is merged need not reach the disk while the store does.
        let dropped = merge(plan, &old, records, sink, progress, stop)?;
        progress.set_phase(Phase::Writing);
        let header = header(plan, &old, &found, dropped);
        let games_counted = header.games().games_counted;
        let all = (header.sources.len() as u64, games_counted, header.absent_may_lack);
        Ok::<_, BuildError>((header, (dropped, all)))
    });
    // Also where it failed because of that.
    stop.check()?;
    let (written, (dropped, (sources, games_counted, absent_may_lack))) =
        written.map_err(|error| error.on_the_way(&temporary, &plan.store))?;
    // Windows may not replace a file that is open.
    drop(old);
    put_all(std::slice::from_ref(workspace))?;
    Ok(BuildSummary {
        dumps: found.dumps,
        sources,
        games_counted,
        keep_from: plan.keep_from,
        absent_may_lack,
        visits_kept: written.summary.visits,
        visits_dropped: dropped.visits,
        positions: written.summary.positions,
        store_bytes: written.file_bytes,
        runs: found.runs_written,
        text_bytes: progress.text_bytes(),
        seconds: started.elapsed().as_secs_f64(),
    })
}

/// Merges on threads of their own, pushes what they make, and lets go of what was merged.
fn merge(
    plan: &Plan,
    old: &[Store],
    records: Records,
    sink: &mut PositionSink<'_>,
    progress: &Progress,
    stop: &Stop,
) -> Result<Dropped, BuildError> {
    std::thread::scope(|scope| {
        let (pieces_in, pieces_out) = channels(plan.threads);
        let mut old_of_thread: Vec<Vec<OldPositions>> = Vec::new();
        old_of_thread.resize_with(plan.threads, Vec::new);
        for store in old {
            let (senders, receivers) = channels(plan.threads);
            for (olds, receiver) in old_of_thread.iter_mut().zip(receivers) {
                olds.push(OldPositions::new(receiver, store.header().absent_may_lack));
            }
            scope.spawn(move || read_old(store, &senders));
        }
        let mut mergers = Vec::new();
        for (number, (pieces, old)) in pieces_in.into_iter().zip(old_of_thread).enumerate() {
            let merger = Merger::new(&records, old, plan.keep_from, pieces, progress, stop);
            mergers.push(scope.spawn(move || merger.run(number, plan.threads)));
        }
        // Taking ends with the receivers, so that mergers behind a full channel end as well.
        let taken = take_all(sink, pieces_out);
        let joined = mergers.into_iter().map(|merger| merger.join().expect("mergers do not panic"));
        let ((), parts) = first_cause(taken, all_or_cause(joined))?;
        let mut dropped = Dropped::default();
        for part in parts {
            dropped.visits += part.visits;
            dropped.may_lack = dropped.may_lack.max(part.may_lack);
        }
        Ok(dropped)
    })
}

fn channels<T>(count: usize) -> (Vec<Sender<T>>, Vec<Receiver<T>>) {
    (0..count).map(|_| bounded(PIECES)).unzip()
}

/// Pushes the pieces of all partitions in order; partition p comes from thread p modulo threads.
fn take_all(sink: &mut PositionSink<'_>, pieces: Vec<Receiver<Piece>>) -> Result<(), BuildError> {
    for partition in 0..PARTITIONS {
        loop {
            let piece =
                pieces[partition % pieces.len()].recv().map_err(|_| BuildError::Interrupted)?;
            let mut start = 0;
            for entry in &piece.entries {
                let (body, opening) = (&piece.bodies[start..entry.end], entry.opening.as_ref());
                sink.push(entry.key, entry.head, body, opening)?;
                start = entry.end;
            }
            if piece.last {
                break;
            }
        }
    }
    Ok(())
}

/// Sends the positions of an old store to the threads that merge their partitions.
fn read_old(store: &Store, threads: &[Sender<Result<OldPiece, StoreError>>]) {
    let mut positions = store.positions().peekable();
    for partition in 0..PARTITIONS {
        let thread = &threads[partition % threads.len()];
        let here = |position: &Result<PositionCounts, StoreError>| match position {
            Ok(position) => partition_of(position.key) == partition,
            Err(_) => true,
        };
        loop {
            let piece = std::iter::from_fn(|| positions.next_if(here)).take(OLD_PIECE).collect();
            let piece = Result::map(piece, |positions: VecDeque<PositionCounts>| OldPiece {
                last: positions.len() < OLD_PIECE,
                positions,
            });
            let ends = piece.as_ref().map_or(true, |piece| piece.last);
            let failed = piece.is_err();
            // A merger that is gone has failed, and says why itself.
            if thread.send(piece).is_err() || failed {
                return;
            }
            if ends {
                break;
            }
        }
    }
}

/// How many games a position that is absent may have had. It was absent from all stores, or it was
/// dropped here: then it had too few games, beside those that it lacks. Stores that are joined as
/// they were built hold nothing that could be dropped.
fn absent_may_lack(plan: &Plan, old: &[Store], found: &Found, dropped: Dropped) -> u64 {
    let lacking = old.iter().map(|store| store.header().absent_may_lack);
    let lacking = lacking.fold(0, u64::saturating_add);
    let is_kept = |store: &Store| store.header().keep_from >= plan.keep_from;
    match found.dumps.is_empty() && !old.is_empty() && old.iter().all(is_kept) {
        true => lacking,
        false => lacking.max((plan.keep_from.saturating_sub(1)).saturating_add(dropped.may_lack)),
    }
}

fn header(plan: &Plan, old: &[Store], found: &Found, dropped: Dropped) -> Header {
    let mut header = Header {
        rules: plan.rules.clone(),
        keep_from: plan.keep_from,
        absent_may_lack: absent_may_lack(plan, old, found, dropped),
        visits: found.visits,
        visits_dropped: dropped.visits,
        totals: found.totals.clone(),
        sources: Vec::new(),
        names_given_up: found.names_given_up,
    };
    for theirs in old.iter().map(Store::header) {
        header.visits += theirs.visits;
        header.visits_dropped += theirs.visits_dropped;
        header.totals.merge(&theirs.totals);
        header.sources.extend(theirs.sources.iter().cloned());
        header.names_given_up |= theirs.names_given_up;
    }
    header.sources.extend(found.dumps.iter().map(|dump| dump.source.clone()));
    header
}
