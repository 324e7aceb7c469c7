//! A worker: batches of text into records.

use std::sync::PoisonError;

use shakmaty::Color;

use super::feed::{DumpPart, Feed, Found};
use super::names::{KnownNames, Names};
use super::partitions::Partitions;
use super::plan::{Memory, Unpacking};
use super::runs::RunWriter;
use super::tally::{Sighting, WorkerTally};
use super::{BuildError, Plan, Progress};
use crate::counts::{NameId, Record};
use crate::games::{Game, LeftOut, Players, hash_game};
use crate::plies::{Ply, Replayer};
use crate::source::Batch;
use crate::terms::{CellId, Group, Outcome, Rating, expected_milli};

/// A name is learned from games that reach a position within this many half-moves.
const NAMED_PLIES: usize = 20;

/// What a worker leaves behind.
pub(super) struct Worked<'b> {
    pub tally: WorkerTally,
    pub partitions: Partitions,
    pub runs: RunWriter<'b>,
}

pub(super) struct Worker<'b> {
    plan: &'b Plan,
    /// Beside what the records have their share.
    unpacking: Unpacking,
    names: KnownNames<'b>,
    replayer: Replayer,
    partitions: Partitions,
    runs: RunWriter<'b>,
    tally: WorkerTally,
    /// Of the game at hand; kept for its memory.
    text: Vec<u8>,
}

impl<'b> Worker<'b> {
    /// A worker that keeps its share of records in memory and writes the others to `runs`.
    pub(super) fn new(plan: &'b Plan, names: &'b Names, runs: RunWriter<'b>) -> Worker<'b> {
        let unpacking = Unpacking { window: plan.known_window(), frames: 0 };
        Worker {
            plan,
            unpacking,
            names: KnownNames::new(names),
            replayer: Replayer::new(),
            partitions: Partitions::new(plan.for_records_beside(unpacking) / plan.threads),
            runs,
            tally: WorkerTally::default(),
            text: Vec::new(),
        }
    }

    /// Takes parts of dumps until there is none.
    pub(super) fn work(
        mut self,
        feed: &Feed<'_>,
        progress: &Progress,
    ) -> Result<Worked<'b>, BuildError> {
        let mut buffer = Vec::new();
        while let Some(DumpPart { dump, part, found }) = feed.next(buffer)? {
            buffer = Vec::new();
            for batch in part.unpack() {
                self.make_room(feed);
                let more = self.count(dump, &batch)?;
                progress.add_games(more.games);
                found.lock().unwrap_or_else(PoisonError::into_inner).add(more);
                buffer = batch.into_buffer();
            }
            if buffer.capacity() > 2 * Memory::BATCH.max(self.unpacking.frames) {
                buffer = Vec::new();
            }
        }
        self.partitions.shrink();
        Ok(Worked { tally: self.tally, partitions: self.partitions, runs: self.runs })
    }

    /// Leaves to the records what decompressing leaves to them.
    fn make_room(&mut self, feed: &Feed<'_>) {
        let unpacking = feed.unpacking();
        if self.unpacking != unpacking {
            self.unpacking = unpacking;
            self.partitions.allow(self.plan.for_records_beside(unpacking) / self.plan.threads);
        }
    }

    #[cold]
    fn spill(&mut self) -> Result<(), BuildError> {
        self.runs.write(&self.partitions)?;
        self.partitions.clear();
        Ok(())
    }

    /// Counts the games of a batch.
    fn count(&mut self, dump: usize, batch: &Batch) -> Result<Found, BuildError> {
        let mut reader = batch.games();
        let half_moves = usize::from(self.plan.rules.half_moves);
        let mut found = Found::default();
        loop {
            let mut trouble = None;
            let replayer = &mut self.replayer;
            let game = reader.next_game(&self.plan.rules, |game, movetext| {
                match replayer.play(movetext, half_moves, game.time_control) {
                    Ok([]) => Err(LeftOut::NoMoves),
                    Ok(_) => Ok(()),
                    Err(illegal) => {
                        trouble = Some(illegal.ply);
                        Err(LeftOut::IllegalMove)
                    }
                }
            });
            let Some(game) = game else { break };
            let text = game.text;
            match game.verdict {
                Ok((game, ())) => self.record(&game, text, dump),
                Err(reason) => {
                    let tally = self.tally.dump(dump);
                    tally.games.left_out.add(reason);
                    if matches!(reason, LeftOut::Broken | LeftOut::IllegalMove) {
                        let byte = batch.offset + game.span.start as u64;
                        let ply = trouble.filter(|_| reason == LeftOut::IllegalMove);
                        let batch = batch.index;
                        let games_before = found.games;
                        tally.see(Sighting { reason, batch, games_before, byte, ply });
                    }
                }
            }
            found.add(Found { games: 1, hash: hash_game(text) });
            if self.partitions.is_full() {
                self.spill()?;
            }
        }
        self.tally.dump(dump).add_batch(batch.index, found.games);
        Ok(found)
    }

    /// Records the plies of a game that counts.
    fn record(&mut self, game: &Game<'_>, text: &[u8], dump: usize) {
        let Players { groups, nameless } = Players::of(game, text, &mut self.text);
        let sides = Color::ALL.map(|colour| Side::new(game, groups, colour));
        for (colour, side) in Color::ALL.into_iter().zip(sides) {
            let Side { id, group, outcome, expected } = side;
            self.tally.totals.add_game(colour, id, group, outcome, expected);
        }
        let tally = self.tally.dump(dump);
        tally.games.games_counted += 1;
        tally.games.nameless_sides += nameless;
        tally.games.add(game.date);
        let name = self.names.id(game);
        for (number, ply) in
            self.replayer.plies().iter().enumerate().filter(|(_, ply)| ply.first_visit)
        {
            let name = if number <= NAMED_PLIES { name } else { NameId::NONE };
            self.partitions.push(sides[number % 2].record(ply, name));
            self.tally.visits += 1;
        }
    }
}

/// What all moves of one side of a game have in common.
#[derive(Clone, Copy)]
struct Side {
    id: CellId,
    group: Group,
    outcome: Outcome,
    expected: u16,
}

impl Side {
    fn new(game: &Game<'_>, groups: [Group; 2], colour: Color) -> Side {
        let white = game.result.for_white();
        let (ours, theirs): (Rating, Rating) =
            colour.fold_wb((game.white, game.black), (game.black, game.white));
        Side {
            id: CellId::new(ours.band(), game.time_control.pace),
            group: groups[usize::from(colour.is_black())],
            outcome: colour.fold_wb(white, white.reversed()),
            expected: expected_milli(ours, theirs),
        }
    }

    fn record(self, ply: &Ply, name: NameId) -> Record {
        Record::new(ply.key, ply.code, self.id, self.outcome, self.expected)
            .with_group(self.group)
            .with_clock(ply.spent.filter(|&tenths| tenths <= Record::MAX_TENTHS))
            .with_eval(ply.eval)
            .with_name(name)
    }
}
