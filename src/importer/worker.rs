//! A worker: batches of text into records.

use std::sync::atomic::Ordering;

use shakmaty::Color;

use super::BuildError;
use super::feed::{DumpBatch, Feed};
use super::names::{KnownNames, Names};
use super::partitions::Partitions;
use super::plan::Memory;
use super::progress::Progress;
use super::runs::RunWriter;
use super::tally::{Sighting, WorkerTally};
use crate::counts::{NameId, Record};
use crate::games::{Game, GameReader, LeftOut, Players, Rules};
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
    rules: &'b Rules,
    names: KnownNames<'b>,
    replayer: Replayer,
    partitions: Partitions,
    runs: RunWriter<'b>,
    tally: WorkerTally,
    /// Of the game at hand; kept for its memory.
    text: Vec<u8>,
}

impl<'b> Worker<'b> {
    /// A worker that keeps about `bytes` of records in memory and writes the others to `runs`.
    pub(super) fn new(
        rules: &'b Rules,
        names: &'b Names,
        bytes: usize,
        runs: RunWriter<'b>,
    ) -> Worker<'b> {
        Worker {
            rules,
            names: KnownNames::new(names),
            replayer: Replayer::new(),
            partitions: Partitions::new(bytes),
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
            let games = self.count(&batch);
            progress.add_games(games);
            batch.games.fetch_add(games, Ordering::Relaxed);
            buffer = batch.batch.into_buffer();
            if buffer.capacity() > 2 * Memory::BATCH {
                buffer = Vec::new();
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

    /// Counts the games of a batch; how many were read.
    fn count(&mut self, batch: &DumpBatch) -> u64 {
        let text = batch.batch.text();
        let mut reader = GameReader::new(text);
        let half_moves = usize::from(self.rules.half_moves);
        let mut read = 0;
        loop {
            let mut trouble = None;
            let replayer = &mut self.replayer;
            let game = reader.next_game(self.rules, |game, movetext| {
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
            let its_text = &text[game.start..game.end];
            match game.verdict {
                Ok((game, ())) => self.record(&game, its_text, batch.dump),
                Err(reason) => {
                    let tally = self.tally.dump(batch.dump);
                    tally.left_out.add(reason);
                    if matches!(reason, LeftOut::Broken | LeftOut::IllegalMove) {
                        let byte = batch.batch.offset + game.start as u64;
                        let ply = trouble.filter(|_| reason == LeftOut::IllegalMove);
                        let batch = batch.batch.index;
                        tally.see(Sighting { reason, batch, games_before: read, byte, ply });
                    }
                }
            }
            read += 1;
        }
        self.tally.dump(batch.dump).add_batch(batch.batch.index, read);
        read
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
        tally.counted += 1;
        tally.nameless_sides += nameless;
        game.date.into_iter().for_each(|date| tally.add_date(date));
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
