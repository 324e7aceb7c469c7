//! A tiny in-memory model of counts, filled from hand-written games in the plainest way.

use std::collections::{BTreeMap, BTreeSet};
use std::convert::Infallible;

use shakmaty::san::San;
use shakmaty::{Chess, Color, Move, Position};

use crate::counts::{
    Cell, Counts, Limits, MoveCounts, Opening, OpeningTag, PositionCounts, Totals,
};
use crate::terms::{CellId, Group, Key, MoveCode, Outcome, Pace, Rating, expected_milli};

/// Counts of every half-move of the games it was fed.
pub struct ModelCounts {
    positions: BTreeMap<Key, PositionCounts>,
    totals: Totals,
    limits: Limits,
    games: usize,
}

/// The moves of a line of SAN words from the initial position, and the position behind them.
pub fn play(line: &str) -> (Vec<Move>, Chess) {
    let mut position = Chess::default();
    let moves = line.split_whitespace().map(|word| {
        let san: San = word.parse().expect("a move");
        let mv = san.to_move(&position).expect("a legal move");
        position.play_unchecked(mv);
        mv
    });
    (moves.collect(), position)
}

impl ModelCounts {
    /// No games yet.
    pub fn new() -> ModelCounts {
        let limits =
            Limits { half_moves: 30, keep_from: 1, absent_may_lack: 0, incomplete: Vec::new() };
        ModelCounts { positions: BTreeMap::new(), totals: Totals::default(), limits, games: 0 }
    }

    /// Counts no more than so many half-moves of each game that is added from now on.
    pub fn counting(mut self, half_moves: u16) -> ModelCounts {
        self.limits.half_moves = half_moves;
        self
    }

    /// Adds `times` equal games. `result` is `1-0`, `0-1` or `1/2`.
    pub fn add(mut self, times: usize, ratings: [u16; 2], result: &str, line: &str) -> ModelCounts {
        (0..times).for_each(|_| self.game(ratings, Pace::Blitz, result, line));
        self
    }

    /// Adds one game.
    pub fn game(&mut self, ratings: [u16; 2], pace: Pace, result: &str, line: &str) {
        let white = match result {
            "1-0" => Outcome::Win,
            "0-1" => Outcome::Loss,
            "1/2" => Outcome::Draw,
            _ => panic!("no such result: {result}"),
        };
        let ratings = ratings.map(|points| Rating::new(points).expect("a rating"));
        let side = |color: Color| {
            let (ours, theirs) = color.fold_wb((ratings[0], ratings[1]), (ratings[1], ratings[0]));
            let outcome = color.fold_wb(white, white.reversed());
            (CellId::new(ours.band(), pace), outcome, expected_milli(ours, theirs))
        };
        // Both sides of each game are players of their own.
        let group = Group::from_index(self.games % Group::COUNT).expect("a remainder");
        self.games += 1;
        for color in Color::ALL {
            let (id, outcome, expected) = side(color);
            self.totals.add_game(color, id, group, outcome, expected);
        }
        let (mut position, mut seen) = (Chess::default(), BTreeSet::new());
        for mv in play(line).0.into_iter().take(self.limits.half_moves.into()) {
            if seen.insert(Key::of(&position)) {
                let (id, outcome, expected) = side(position.turn());
                self.cell(&position, mv, id).add_game(outcome, expected);
                let groups = &mut self.position_at(Key::of(&position)).groups;
                groups.add(MoveCode::of(mv), id, group, 1);
            }
            position.play_unchecked(mv);
        }
    }

    fn position_at(&mut self, key: Key) -> &mut PositionCounts {
        self.positions.entry(key).or_insert(PositionCounts::empty(key))
    }

    /// The cell of a move in a position, made if it is not there; its groups stay as they are.
    pub fn cell(&mut self, position: &Chess, mv: Move, id: CellId) -> &mut Cell {
        let (key, code) = (Key::of(position), MoveCode::of(mv));
        let moves = &mut self.position_at(key).moves;
        let place = moves.binary_search_by_key(&code, |mv| mv.code).unwrap_or_else(|place| {
            moves.insert(place, MoveCounts { code, cells: Vec::new() });
            place
        });
        let cells = &mut moves[place].cells;
        let place = cells.binary_search_by_key(&id, |(id, _)| *id).unwrap_or_else(|place| {
            cells.insert(place, (id, Cell::default()));
            place
        });
        &mut cells[place].1
    }

    /// Gives the position behind a line a name and a number of games that may be missing.
    pub fn describe(mut self, line: &str, eco: &str, name: &str, may_lack: u64) -> ModelCounts {
        let counts = self.positions.get_mut(&Key::of(&play(line).1)).expect("a counted position");
        let tag = OpeningTag { eco: eco.into(), name: name.into() };
        counts.opening = Some(Opening { tag, tally: 1 });
        counts.may_lack = may_lack;
        self
    }
}

impl Counts for ModelCounts {
    type Error = Infallible;

    fn position(&self, key: Key) -> Result<Option<PositionCounts>, Infallible> {
        Ok(self.positions.get(&key).cloned())
    }

    fn totals(&self) -> &Totals {
        &self.totals
    }

    fn limits(&self) -> &Limits {
        &self.limits
    }
}
