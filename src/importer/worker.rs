//! A worker: batches of text into records.

use std::sync::PoisonError;

use shakmaty::Color;

use super::feed::{DumpBatch, Feed, Found};
use super::names::{KnownNames, Names};
use super::partitions::Partitions;
use super::plan::Memory;
use super::runs::RunWriter;
use super::tally::{Sighting, WorkerTally};
use super::{BuildError, Plan, Progress};
use crate::counts::{NameId, Record};
use crate::games::{Game, LeftOut, Players, hash_game};
use crate::plies::{Ply, Replayer};
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
    /// The window of a decompressor beside which the records have their share.
    window: u64,
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
        let window = plan.known_window();
        Worker {
            plan,
            window,
            names: KnownNames::new(names),
            replayer: Replayer::new(),
            partitions: Partitions::new(plan.for_records_beside(window) / plan.threads),
            runs,
            tally: WorkerTally::default(),
            text: Vec::new(),
        }
    }

    /// Takes batches until there is none.
    pub(super) fn work(
        mut self,
        feed: &Feed<'_>,
        progress: &Progress,
    ) -> Result<Worked<'b>, BuildError> {
        let mut buffer = Vec::new();
        while let Some(batch) = feed.next(buffer)? {
            let found = self.count(&batch);
            progress.add_games(found.games);
            batch.found.lock().unwrap_or_else(PoisonError::into_inner).add(found);
            buffer = batch.batch.into_buffer();
            if buffer.capacity() > 2 * Memory::BATCH {
                buffer = Vec::new();
            }
            if self.window < feed.largest_window() {
                self.window = feed.largest_window();
                self.partitions
                    .allow(self.plan.for_records_beside(self.window) / self.plan.threads);
            }
            if self.partitions.is_full() {
                self.spill()?;
            }
        }
        self.partitions.shrink();
        Ok(Worked { tally: self.tally, partitions: self.partitions, runs: self.runs })
    }

    fn spill(&mut self) -> Result<(), BuildError> {
        self.runs.write(&self.partitions)?;
        self.partitions.clear();
        Ok(())
    }

    /// Counts the games of a batch.
    fn count(&mut self, batch: &DumpBatch) -> Found {
        let mut reader = batch.batch.games();
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
                Ok((game, ())) => self.record(&game, text, batch.dump),
                Err(reason) => {
                    let tally = self.tally.dump(batch.dump);
                    tally.games.left_out.add(reason);
                    if matches!(reason, LeftOut::Broken | LeftOut::IllegalMove) {
                        let byte = batch.batch.offset + game.span.start as u64;
                        let ply = trouble.filter(|_| reason == LeftOut::IllegalMove);
                        let batch = batch.batch.index;
                        let games_before = found.games;
                        tally.see(Sighting { reason, batch, games_before, byte, ply });
                    }
                }
            }
            found.add(Found { games: 1, hash: hash_game(text) });
        }
        self.tally.dump(batch.dump).add_batch(batch.batch.index, found.games);
        found
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
