//! Counts in memory, filled from hand-written games in the plainest way.

use std::collections::BTreeSet;

use shakmaty::{Chess, Color, Move, Position};

use crate::counts::{CellGroups, InMemory, Opening, OpeningTag};
use crate::lines::{Line, Trap};
use crate::terms::{CellId, Group, Key, MoverFilter, Outcome, Pace, Rating, expected_milli};

/// The moves of a line of SAN words from the initial position, and the position after them.
pub fn play(line: &str) -> (Vec<Move>, Chess) {
    let line: Line = line.parse().expect("a line");
    (line.moves().to_vec(), line.end().clone())
}

/// The trap of a line of SAN words whose half-move at `slip` (from 0) is the slip.
pub fn trap(line: &str, slip: usize) -> Trap {
    let line: Line = line.parse().expect("a line");
    Trap::new("A trap".into(), line, slip).expect("a refutation follows")
}

/// Counts of every half-move of the games that they are fed.
pub type ModelCounts = InMemory;

impl Default for InMemory {
    fn default() -> InMemory {
        InMemory::new()
    }
}

impl InMemory {
    /// No games yet.
    pub fn new() -> InMemory {
        InMemory::counting(30)
    }

    /// Adds `times` equal games. `result` is `1-0`, `0-1` or `1/2`.
    pub fn add(mut self, times: usize, ratings: [u16; 2], result: &str, line: &str) -> InMemory {
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
        let games = self.totals.sum(Color::White, MoverFilter::ALL).games as usize;
        let group = Group::from_index(games % Group::COUNT).expect("a remainder");
        for color in Color::ALL {
            let (id, outcome, expected) = side(color);
            self.totals.add_game(color, id, group, outcome, expected);
        }
        let (mut position, mut seen) = (Chess::default(), BTreeSet::new());
        for mv in play(line).0.into_iter().take(self.limits.half_moves.into()) {
            if seen.insert(Key::of(&position)) {
                let (id, outcome, expected) = side(position.turn());
                self.add_game(&position, mv, id, group).add_game(outcome, expected);
            }
            position.play_unchecked(mv);
        }
    }

    /// Gives all games that go on after a line to one player.
    pub fn by_one_player(mut self, line: &str) -> InMemory {
        let counts = self.positions.get_mut(&Key::of(&play(line).1)).expect("a counted position");
        let one = Group::from_index(3).expect("a group");
        let rows: Vec<_> = counts.groups.rows().collect();
        counts.groups = CellGroups::default();
        rows.into_iter().for_each(|(code, id, _, games)| counts.groups.add(code, id, one, games));
        self
    }

    /// Gives the position after a line a name and a number of games that may be missing.
    pub fn describe(mut self, line: &str, eco: &str, name: &str, may_lack: u64) -> InMemory {
        let counts = self.positions.get_mut(&Key::of(&play(line).1)).expect("a counted position");
        let tag = OpeningTag { eco: eco.into(), name: name.into() };
        counts.opening = Some(Opening { tag, tally: 1 });
        counts.may_lack = may_lack;
        self
    }
}
