//! Which games are wanted, and a look whether one is.

use shakmaty::Color;

use crate::games::{Game, GameResult, LeftOut, Rules, export};
use crate::plies::{Chase, Trail};
use crate::source::Batch;
use crate::terms::{CellId, MoverFilter};

/// What a game must be to be written.
#[derive(Clone, Debug)]
pub struct Wanted {
    /// It meets one of these.
    pub trails: Vec<Trail>,
    /// Whose turn it is at their start: whom `movers` is about.
    pub mover: Color,
    /// Rating and pace of the mover.
    pub movers: MoverFilter,
    /// How it ended; empty for any result.
    pub results: Vec<GameResult>,
    /// How far into it to look, and which games count at all.
    pub rules: Rules,
}

/// A wanted game.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Found {
    /// Both players' rating points together.
    pub ratings: u32,
    /// The text, ready to be written.
    pub text: String,
}

impl Wanted {
    fn admits(&self, game: &Game<'_>) -> bool {
        let rating = self.mover.fold_wb(game.white, game.black);
        self.movers.admits(CellId::new(rating.band(), game.time_control.pace))
            && (self.results.is_empty() || self.results.contains(&game.result))
    }

    /// A tree of its own for a worker.
    pub(super) fn chase(&self) -> Chase {
        Chase::new(self.trails.clone(), usize::from(self.rules.half_moves))
    }

    /// The wanted games of a batch in order, and how many games it holds.
    pub(super) fn find(&self, chase: &mut Chase, batch: &Batch) -> (Vec<Found>, u64) {
        let (mut found, mut read) = (Vec::new(), 0);
        let mut reader = batch.games();
        while let Some(game) = reader.next_game(&self.rules, |game, movetext| {
            if !self.admits(game) {
                return Ok(false);
            }
            chase.meets(movetext).map_err(|_| LeftOut::IllegalMove)
        }) {
            read += 1;
            if let Ok((tags, true)) = game.verdict {
                let mut pgn = String::new();
                let (tags_text, movetext) = game.parts();
                export(tags_text, movetext, &mut pgn);
                let ratings = u32::from(tags.white.points()) + u32::from(tags.black.points());
                found.push(Found { ratings, text: pgn });
            }
        }
        (found, read)
    }
}
