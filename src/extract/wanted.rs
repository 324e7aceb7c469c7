//! Which games are wanted, and a look whether one is.

use shakmaty::Color;

use crate::games::{
    Game, GameResult, LeftOut, LeftOutTally, Movetext, Rules, export, text_of, with_comment,
    without_clocks,
};
use crate::plies::{Chase, Replayer, Trail};
use crate::source::Batch;
use crate::terms::{CellId, Key, MoveCode, MoverFilter, TimeControl};

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
    /// Whether it keeps its clocks.
    pub clocks: bool,
    /// What is written into it.
    pub remarks: Vec<Remark>,
}

/// A comment after a move, wherever a game plays it first.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Remark {
    /// The position in which it is played.
    pub position: Key,
    /// The move.
    pub code: MoveCode,
    /// The comment.
    pub text: String,
}

/// A wanted game.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct FoundGame {
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

    /// The movetext with its remarks and without clocks; none where nothing changes.
    fn edited(&self, movetext: &[u8], time_control: TimeControl) -> Option<String> {
        if self.clocks && self.remarks.is_empty() {
            return None;
        }
        let text = text_of(movetext);
        let mut text = if self.clocks { text.into_owned() } else { without_clocks(&text) };
        let mut replayer = Replayer::new();
        let half_moves = usize::from(self.rules.half_moves);
        // A game that is wanted has been played that far before.
        let plies = replayer.play(&mut Movetext::new(text.as_bytes()), half_moves, time_control);
        let found = plies.ok().and_then(|plies| {
            plies.iter().enumerate().find_map(|(number, ply)| {
                let remark = self
                    .remarks
                    .iter()
                    .find(|remark| (remark.position, remark.code) == (ply.key, ply.code))?;
                Some((number, remark))
            })
        });
        if let Some((number, remark)) = found {
            text = with_comment(&text, number, &remark.text);
        }
        Some(text)
    }

    /// The wanted games of a batch in order, and how many games it holds; counts those that
    /// are left out.
    pub(super) fn find(
        &self,
        chase: &mut Chase,
        batch: &Batch,
        left_out: &mut LeftOutTally,
    ) -> (Vec<FoundGame>, u64) {
        let (mut found, mut read) = (Vec::new(), 0);
        let mut reader = batch.games();
        while let Some(game) = reader.next_game(&self.rules, |game, movetext| {
            if !self.admits(game) {
                return Ok(false);
            }
            chase.meets(movetext).map_err(|_| LeftOut::IllegalMove)
        }) {
            read += 1;
            if let Err(reason) = &game.verdict {
                left_out.add(*reason);
            }
            if let Ok((tags, true)) = game.verdict {
                let mut pgn = String::new();
                let (tags_text, movetext) = game.parts();
                let edited = self.edited(movetext, tags.time_control);
                export(tags_text, edited.as_deref().map_or(movetext, str::as_bytes), &mut pgn);
                let ratings = u32::from(tags.white.points()) + u32::from(tags.black.points());
                found.push(FoundGame { ratings, text: pgn });
            }
        }
        (found, read)
    }
}
