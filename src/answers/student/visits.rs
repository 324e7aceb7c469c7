//! The positions in which the student had to move.

use shakmaty::{Chess, Move};

use super::results::Results;
use crate::lines::{Line, OwnGame};
use crate::terms::{Key, KeyMap, MoveCode};

/// A visit: the place of the game, and the half-move played there.
pub(super) type Visit = (usize, usize);

/// A position that the student had.
pub(super) struct Visited {
    pub key: Key,
    /// In the order of the games, one a game.
    pub visits: Vec<Visit>,
    /// The move played most, the first by UCI text of equals, and in how many of the games.
    pub usual: (MoveCode, u64),
}

/// The positions in which the student had to move in `times` games or more, by key.
pub(super) fn visited(games: &[OwnGame], times: u64) -> Vec<Visited> {
    let mut found: KeyMap<Vec<Visit>> = KeyMap::default();
    for (place, game) in games.iter().enumerate() {
        let own = game.plies.iter().enumerate().filter(|(ply, _)| game.is_own(*ply));
        for (ply, _) in own.filter(|(_, ply)| ply.first_visit) {
            found.entry(game.plies[ply].key).or_default().push((place, ply));
        }
    }
    let often = found.into_iter().filter(|(_, visits)| visits.len() as u64 >= times.max(1));
    let mut visited: Vec<Visited> =
        often.map(|(key, visits)| Visited { key, usual: usual(games, &visits), visits }).collect();
    visited.sort_unstable_by_key(|position| position.key);
    visited
}

fn usual(games: &[OwnGame], visits: &[Visit]) -> (MoveCode, u64) {
    // The first of equals stays.
    let moves = moves(games, visits).into_iter();
    moves
        .reduce(|best, next| if next.1 > best.1 { next } else { best })
        .expect("a position was visited")
}

/// The moves played, by UCI text, and in how many of the games.
fn moves(games: &[OwnGame], visits: &[Visit]) -> Vec<(MoveCode, u64)> {
    let mut moves: Vec<MoveCode> =
        visits.iter().map(|&(game, ply)| games[game].plies[ply].code).collect();
    moves.sort_unstable();
    moves.chunk_by(|a, b| a == b).map(|run| (run[0], run.len() as u64)).collect()
}

impl Visited {
    /// How many games came here.
    pub fn times(&self) -> u64 {
        self.visits.len() as u64
    }

    /// The moves played here, by UCI text, and in how many of the games.
    pub fn moves(&self, games: &[OwnGame]) -> Vec<(MoveCode, u64)> {
        moves(games, &self.visits)
    }

    /// How these games ended, from the student's view.
    pub fn results(&self, games: &[OwnGame]) -> Results {
        self.visits.iter().map(|&(game, _)| games[game].outcome).collect()
    }

    /// The moves by which most of the games came here, the first of equals.
    pub fn usual_line(&self, games: &[OwnGame]) -> Line {
        usual_line(games, &self.visits)
    }
}

/// The moves by which most of the games came to their visits, the first of equals.
pub(super) fn usual_line(games: &[OwnGame], visits: &[Visit]) -> Line {
    let codes = |&(game, ply): &Visit| -> Vec<MoveCode> {
        games[game].plies[..ply].iter().map(|ply| ply.code).collect()
    };
    let mut played: Vec<(Vec<MoveCode>, usize)> =
        visits.iter().enumerate().map(|(order, visit)| (codes(visit), order)).collect();
    played.sort_unstable();
    let runs = played.chunk_by(|a, b| a.0 == b.0);
    let most = runs.max_by_key(|run| (run.len(), std::cmp::Reverse(run[0].1)));
    let mut line = Line::default();
    for code in most.map(|run| run[0].0.as_slice()).unwrap_or_default() {
        play(&mut line, *code);
    }
    line
}

/// Plays a move that was played there.
pub(super) fn play(line: &mut Line, code: MoveCode) {
    let mv = code.to_move(line.end()).expect("it was played here");
    line.play(mv);
}

/// A line's last position with the move that led to it.
pub(super) fn shown(line: &Line) -> (Chess, Option<Move>) {
    (line.end().clone(), line.moves().last().copied())
}
