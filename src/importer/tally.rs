//! What was found in each dump.

use crate::counts::Totals;
use crate::games::LeftOut;
use crate::ledger::{CountedDump, DumpHash, Example, GameTally, Source};
use crate::source::ReadDump;

/// The tally of one dump, as one worker saw it or as all did together.
#[derive(Clone, Debug, Default)]
pub(super) struct DumpTally {
    pub games: GameTally,
    /// Games of each batch, to number games across batches.
    batches: Vec<(u64, u64)>,
    examples: Vec<Sighting>,
}

/// A left out game before its number is known.
#[derive(Clone, Copy, Debug)]
pub(super) struct Sighting {
    pub reason: LeftOut,
    pub batch: u64,
    /// Games before it in its batch.
    pub games_before: u64,
    /// Decompressed bytes before it in the dump.
    pub byte: u64,
    /// Half-moves before the trouble.
    pub ply: Option<usize>,
}

impl DumpTally {
    pub(super) fn add_batch(&mut self, batch: u64, games: u64) {
        self.games.games_read += games;
        self.batches.push((batch, games));
    }

    /// Notes a broken or illegal game, if it is the earliest of its kind.
    pub(super) fn see(&mut self, sighting: Sighting) {
        match self.examples.iter_mut().find(|known| known.reason == sighting.reason) {
            Some(known) if sighting.byte < known.byte => *known = sighting,
            Some(_) => {}
            None => self.examples.push(sighting),
        }
    }

    pub(super) fn merge(&mut self, other: DumpTally) {
        self.games.merge(&other.games);
        self.batches.extend(other.batches);
        other.examples.into_iter().for_each(|sighting| self.see(sighting));
    }

    /// The finished entry of a dump.
    pub(super) fn counted(self, name: String, hash: DumpHash, read: ReadDump) -> CountedDump {
        let number = |sighting: &Sighting| {
            let earlier = self.batches.iter().filter(|(batch, _)| *batch < sighting.batch);
            let before: u64 = earlier.map(|(_, games)| games).sum();
            Example {
                reason: sighting.reason,
                game: before + sighting.games_before + 1,
                byte: sighting.byte,
                ply: sighting.ply,
            }
        };
        let mut examples: Vec<Example> = self.examples.iter().map(number).collect();
        examples.sort_by_key(|example| example.reason);
        let ReadDump { fingerprint, complete, .. } = read;
        let source = Source { name, hash, fingerprint, games: self.games, complete };
        CountedDump { source, examples }
    }
}

/// Everything that one worker counted besides records.
#[derive(Clone, Debug, Default)]
pub(super) struct WorkerTally {
    pub dumps: Vec<DumpTally>,
    pub totals: Totals,
    pub visits: u64,
}

impl WorkerTally {
    pub(super) fn dump(&mut self, index: usize) -> &mut DumpTally {
        if self.dumps.len() <= index {
            self.dumps.resize_with(index + 1, DumpTally::default);
        }
        &mut self.dumps[index]
    }

    pub(super) fn merge(&mut self, other: WorkerTally) {
        for (index, dump) in other.dumps.into_iter().enumerate() {
            self.dump(index).merge(dump);
        }
        self.totals.merge(&other.totals);
        self.visits += other.visits;
    }
}
