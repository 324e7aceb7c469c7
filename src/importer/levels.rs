//! Many runs into fewer, longer ones, so that merging them all needs little memory and few files.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use super::blocks::BLOCK;
use super::partitions::PARTITIONS;
use super::runs::{NewRun, Run, SEGMENT_BYTES, SegmentReader};
use super::{BuildError, Phase, Plan, Progress, Stop};
use crate::counts::Record;
use crate::files::Workspace;

/// Runs merged into one at a time: few, since their files stay until the longer one is whole.
const GROUP: usize = 16;
/// The most files that are open at a time.
const MOST_FILES: usize = 200;

/// How many runs the last merge may take: each thread has a segment of every one open.
pub(super) fn most_runs(plan: &Plan) -> usize {
    let segments = plan.memory.for_segments() / SEGMENT_BYTES;
    (segments / plan.threads).clamp(GROUP, MOST_FILES)
}

/// Merges groups of runs until there are at most `most`, the shortest first.
pub(super) fn shorten(
    runs: &mut Vec<Run>,
    most: usize,
    workspace: &Workspace,
    progress: &Progress,
    stop: &Stop,
) -> Result<(), BuildError> {
    for number in 0.. {
        let too_many = runs.len().saturating_sub(most);
        if too_many == 0 {
            break;
        }
        progress.set_phase(Phase::Shortening);
        runs.sort_by_key(|run| Reverse(run.bytes()));
        let group = runs.split_off(runs.len() - GROUP.min(too_many + 1).min(runs.len()));
        runs.push(merge(
            &group,
            NewRun::create(workspace.run(&format!("merged-{number}")))?,
            stop,
        )?);
    }
    Ok(())
}

fn merge(group: &[Run], mut longer: NewRun, stop: &Stop) -> Result<Run, BuildError> {
    let mut scratch = Vec::new();
    let mut block: Vec<Record> = Vec::with_capacity(BLOCK);
    for partition in 0..PARTITIONS {
        stop.check()?;
        let mut readers: Vec<SegmentReader> = group.iter().map(|run| run.open(partition)).collect();
        let mut next = BinaryHeap::with_capacity(readers.len());
        for (place, reader) in readers.iter_mut().enumerate() {
            if let Some(record) = reader.peek(&mut scratch)? {
                next.push(Reverse((record.key(), place)));
            }
        }
        while let Some(mut top) = next.peek_mut() {
            let Reverse((_, place)) = *top;
            let reader = &mut readers[place];
            block.extend(reader.peek(&mut scratch)?);
            reader.step();
            match reader.peek(&mut scratch)? {
                Some(record) => *top = Reverse((record.key(), place)),
                None => drop(std::collections::binary_heap::PeekMut::pop(top)),
            }
            if block.len() == BLOCK {
                longer.push(&block)?;
                block.clear();
            }
        }
        if !block.is_empty() {
            longer.push(&block)?;
            block.clear();
        }
        longer.end_segment();
    }
    longer.finish()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::importer::partitions::Partitions;
    use crate::importer::runs::RunWriter;

    /// The words of the `number`th of many records, spread over all partitions.
    fn words(number: u64) -> (u64, u64, u32) {
        let key = (number % 701).wrapping_mul(0x9e37_79b9_7f4a_7c15);
        (key, ((number % 13) << 49) + ((number % 7) << 41), (number % 50) as u32)
    }

    fn all(runs: &[Run]) -> Vec<(u64, u64, u32)> {
        let mut scratch = Vec::new();
        let mut found = Vec::new();
        for partition in 0..PARTITIONS {
            for run in runs {
                let mut reader = run.open(partition);
                while let Some(record) = reader.peek(&mut scratch).expect("readable") {
                    found.push(record.words());
                    reader.step();
                }
            }
        }
        found
    }

    #[test]
    fn fewer_runs_hold_the_same_records_in_order_and_the_others_are_gone() {
        let folder = tempfile::tempdir().expect("a folder");
        let workspace = Workspace::open(&folder.path().join("s.redb"), None).expect("a workspace");
        let stop = Stop::default();
        let mut writer = RunWriter::new(&workspace, 0, 0, &stop);
        for run in 0..40 {
            let mut partitions = Partitions::new(0);
            for number in run * 100..run * 100 + 300 {
                let (key, head, tail) = words(number);
                partitions.push(Record::from_words(key, head, tail));
            }
            writer.write(&partitions).expect("written");
        }
        let (mut runs, _) = writer.into_runs();
        let mut before = all(&runs);
        shorten(&mut runs, 3, &workspace, &Progress::default(), &stop).expect("merged");
        let mut after = all(&runs);
        assert_eq!(runs.len(), 3);
        let files = std::fs::read_dir(workspace.runs_folder()).expect("a folder").count();
        assert_eq!(files, 3 + 1, "three runs and the lock");
        for run in &runs {
            let keys: Vec<_> = all(std::slice::from_ref(run)).iter().map(|words| words.0).collect();
            assert!(keys.is_sorted());
        }
        before.sort_unstable();
        after.sort_unstable();
        assert_eq!(before, after);
    }
}
