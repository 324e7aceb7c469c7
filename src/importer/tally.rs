//! What was found in each dump.

use crate::counts::Totals;
use crate::games::{Date, LeftOut, LeftOutTally};
use crate::source::{DumpHash, Fingerprint, ReadDump};

/// The tally of one dump, as one worker saw it or as all did together.
#[derive(Clone, Debug, Default)]
pub(super) struct DumpTally {
    pub read: u64,
    pub counted: u64,
    pub nameless_sides: u64,
    pub left_out: LeftOutTally,
    pub first: Option<Date>,
    pub last: Option<Date>,
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

/// The first game that was left out for a reason that lies in its text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Example {
    /// The reason.
    pub reason: LeftOut,
    /// Which game of the dump, from 1.
    pub game: u64,
    /// Where it starts, in decompressed bytes from the start of the dump.
    pub byte: u64,
    /// Half-moves played before the trouble.
    pub ply: Option<usize>,
}

impl DumpTally {
    pub(super) fn add_batch(&mut self, batch: u64, games: u64) {
        self.read += games;
        self.batches.push((batch, games));
    }

    pub(super) fn add_date(&mut self, date: Date) {
        self.first = Some(self.first.map_or(date, |first| first.min(date)));
        self.last = Some(self.last.map_or(date, |last| last.max(date)));
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
        self.read += other.read;
        self.counted += other.counted;
        self.nameless_sides += other.nameless_sides;
        self.left_out.merge(&other.left_out);
        other.first.into_iter().chain(other.last).for_each(|date| self.add_date(date));
        self.batches.extend(other.batches);
        other.examples.into_iter().for_each(|sighting| self.see(sighting));
    }

    /// The finished report of a dump.
    pub(super) fn report(self, name: String, hash: DumpHash, read: ReadDump) -> DumpReport {
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
        DumpReport {
            name,
            hash,
            fingerprint: read.fingerprint,
            complete: read.complete,
            games_read: self.read,
            games_counted: self.counted,
            nameless_sides: self.nameless_sides,
            left_out: self.left_out,
            first: self.first,
            last: self.last,
            examples,
        }
    }
}

/// What was found in one dump; `games_read = games_counted + left_out`.
#[derive(Clone, Debug)]
pub struct DumpReport {
    /// Its name.
    pub name: String,
    /// By what it is known.
    pub hash: DumpHash,
    /// What its bytes turned out to be.
    pub fingerprint: Fingerprint,
    /// Whether it was read to its end.
    pub complete: bool,
    /// Games in it.
    pub games_read: u64,
    /// Games that counted.
    pub games_counted: u64,
    /// Sides of these whose player has no name.
    pub nameless_sides: u64,
    /// Games that did not, by reason.
    pub left_out: LeftOutTally,
    /// Earliest date of the games that counted.
    pub first: Option<Date>,
    /// Latest date of the games that counted.
    pub last: Option<Date>,
    /// The first broken and the first illegal game.
    pub examples: Vec<Example>,
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
