//! Where games leave prepared lines.

#![expect(missing_docs, reason = "`help formats` explains the fields of answers")]

use std::collections::BTreeMap;

use serde::Serialize;
use shakmaty::{Chess, Color, Move, Position};

use super::level::{LevelMove, TOLD, level_moves};
use super::played::{PlayedMove, fen};
use super::visits::{Visit, play, shown, usual_line};
use crate::answers::moves::color_name;
use crate::answers::trap::Cache;
use crate::answers::{Figure, Question};
use crate::counts::Counts;
use crate::lines::{OwnGame, Prepared, san_text};
use crate::terms::{Key, MoveCode};

/// The prepared lines, and what became of the games with their colour.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct LeftAnswer {
    #[serde(rename = "as", serialize_with = "color_name")]
    pub side: Color,
    pub games: u64,
    pub several: usize,
    pub to_the_end: u64,
    /// Those that ended, or were looked at no further, within a line.
    pub within: u64,
    pub by_student: u64,
    pub by_first_move: u64,
    pub by_opponent: u64,
}

/// A move with which games leave the lines.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Left {
    pub line: String,
    pub fen: String,
    #[serde(rename = "move")]
    pub mv: PlayedMove,
    pub by: By,
    pub times: u64,
    /// Whether it is the student's first move of the game.
    #[serde(skip)]
    pub is_first: bool,
    pub prepared: Vec<String>,
    pub share: Figure,
    /// What players of the level play after it, most played first.
    pub continues: Vec<LevelMove>,
    /// The position after the move.
    #[serde(skip)]
    pub shown: (Chess, Option<Move>),
    /// The position before it with the move that led there.
    #[serde(skip)]
    pub before: (Chess, Option<Move>),
}

/// Who leaves the lines.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum By {
    Student,
    Opponent,
}

/// What becomes of a game.
enum Fate {
    Left(usize),
    End,
    Within,
}

pub(super) fn left<C: Counts>(
    cache: &Cache<'_, C>,
    file: &Prepared,
    side: Color,
    games: &[OwnGame],
    question: &Question,
) -> Result<(LeftAnswer, Vec<Left>), C::Error> {
    let mut answer = LeftAnswer {
        side,
        games: 0,
        several: file.moves_by(side).1,
        to_the_end: 0,
        within: 0,
        by_student: 0,
        by_first_move: 0,
        by_opponent: 0,
    };
    let mut leavings: BTreeMap<(Key, MoveCode), Vec<Visit>> = BTreeMap::new();
    for (place, game) in games.iter().enumerate().filter(|(_, game)| game.colour == side) {
        answer.games += 1;
        match fate(file, game) {
            Fate::End => answer.to_the_end += 1,
            Fate::Within => answer.within += 1,
            Fate::Left(ply) => {
                *match by(game, ply) {
                    By::Student => &mut answer.by_student,
                    By::Opponent => &mut answer.by_opponent,
                } += 1;
                answer.by_first_move += u64::from(is_first_own(game.colour, ply));
                let played = game.plies[ply];
                leavings.entry((played.key, played.code)).or_default().push((place, ply));
            }
        }
    }
    let mut found = Vec::with_capacity(leavings.len());
    for ((key, code), visits) in leavings {
        found.push(told(cache, file, games, (key, code), &visits, question)?);
    }
    found.sort_by(|a, b| b.times.cmp(&a.times).then_with(|| a.line.cmp(&b.line)));
    Ok((answer, found))
}

fn by(game: &OwnGame, ply: usize) -> By {
    if game.is_own(ply) { By::Student } else { By::Opponent }
}

/// Whether the half-move at `ply` is the first of a side: with it an opening is chosen,
/// not forgotten.
fn is_first_own(side: Color, ply: usize) -> bool {
    ply == side.fold_wb(0, 1)
}

/// Follows a game through the file; a move that leads back into it leaves nothing.
fn fate(file: &Prepared, game: &OwnGame) -> Fate {
    let mut place = Prepared::START;
    for ply in 0..game.plies.len() {
        if file.positions()[place].moves.is_empty() {
            return Fate::End;
        }
        match file.place(game.plies.get(ply + 1).map_or(game.end, |next| next.key)) {
            Some(next) => place = next,
            None => return Fate::Left(ply),
        }
    }
    if file.positions()[place].moves.is_empty() { Fate::End } else { Fate::Within }
}

fn told<C: Counts>(
    cache: &Cache<'_, C>,
    file: &Prepared,
    games: &[OwnGame],
    (key, code): (Key, MoveCode),
    visits: &[Visit],
    question: &Question,
) -> Result<Left, C::Error> {
    let line = usual_line(games, visits);
    let mut after = line.clone();
    play(&mut after, code);
    let here = level_moves(cache, line.end(), question)?;
    let (uci, all) = (code.to_string(), here.iter().map(|row| row.games).sum());
    let share = here.iter().find(|row| row.uci == uci).map(|row| row.share.clone());
    let effect = here.first().map_or(1.0, |row| row.share.n as f64 / row.share.n_eff);
    let lacking = cache.limits().lacking(line.end(), None);
    let none = || question.sampling().with_effect(effect).lacking(lacking).share(0, all);
    let place = file.place(key).expect("the games leave positions of the file");
    let prepared = &file.positions()[place].moves;
    let (game, ply) = visits[0];
    Ok(Left {
        fen: fen(line.end()),
        mv: PlayedMove::of(&line, code),
        by: by(&games[game], ply),
        times: visits.len() as u64,
        is_first: is_first_own(games[game].colour, ply),
        prepared: prepared.iter().map(|known| san_text(line.end(), known.mv)).collect(),
        share: share.unwrap_or_else(none),
        continues: level_moves(cache, after.end(), question)?
            .into_iter()
            .take(TOLD)
            .map(LevelMove::from)
            .collect(),
        shown: shown(&after),
        before: shown(&line),
        line: line.to_string(),
    })
}

impl Left {
    /// Whose move it is behind it.
    pub fn next(&self) -> Color {
        self.shown.0.turn()
    }
}
