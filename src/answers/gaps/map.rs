//! The flow through a file as a tree of moves.

use serde::Serialize;
use shakmaty::{Chess, Move, Position};

use super::choices::{Choices, To, Turn};
use crate::lines::{Prepared, san_text};

/// What a move means to the file.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub enum MapKind {
    /// A move of the student.
    Own,
    /// A move of the opponent that the file has.
    Answered,
    /// A move of the opponent, or several, that it has not.
    Gap,
    /// A position after it that the counts do not know.
    Unknown,
}

/// A move with those behind it. Ways that meet in a position are told apart here.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MapBlock {
    /// SAN; empty for several moves together.
    pub san: String,
    /// How many moves it stands for.
    pub moves: usize,
    /// The share of all games.
    pub share: f64,
    /// What it means.
    pub kind: MapKind,
    /// Whether a line ends with it.
    pub ends: bool,
    /// The moves behind it, most played first, several rare ones together last.
    pub children: Vec<MapBlock>,
}

/// A move is told alone if at least this share of the games plays it.
const ALONE: f64 = 1.0 / 250.0;

/// The moves from the initial position on.
pub(super) fn map(file: &Prepared, choices: &Choices, half_moves: Option<u16>) -> Vec<MapBlock> {
    let board = Chess::default();
    Tree { file, choices }.behind(Prepared::START, &board, 1.0, half_moves.unwrap_or(u16::MAX))
}

struct Tree<'a> {
    file: &'a Prepared,
    choices: &'a Choices,
}

impl Tree<'_> {
    fn behind(&self, place: usize, board: &Chess, share: f64, left: u16) -> Vec<MapBlock> {
        let Turn::Choice { own, choices, .. } = &self.choices.turns[place] else {
            return Vec::new();
        };
        if left == 0 {
            return Vec::new();
        }
        let mut blocks = Vec::new();
        let mut rest = [MapKind::Answered, MapKind::Gap].map(|kind| self.several(kind));
        for choice in choices {
            let of_all = share * choice.chance;
            let kind = match (own, choice.to) {
                (true, _) => MapKind::Own,
                (_, To::Place(_)) => MapKind::Answered,
                (_, To::Out) => MapKind::Gap,
            };
            if of_all < ALONE {
                let rest = &mut rest[usize::from(kind == MapKind::Gap)];
                rest.share += of_all;
                rest.moves += 1;
                continue;
            }
            let san = san_text(board, choice.mv);
            let (children, ends) = match choice.to {
                To::Place(to) => self.onward(to, board, choice.mv, of_all, left - 1),
                To::Out => (Vec::new(), false),
            };
            blocks.push(MapBlock { san, moves: 1, share: of_all, kind, ends, children });
        }
        blocks.sort_by(|a, b| b.share.total_cmp(&a.share));
        blocks.extend(rest.into_iter().filter(|rest| rest.share >= ALONE / 2.0));
        blocks
    }

    /// What lies after a move to a place, and whether its line ends there.
    fn onward(
        &self,
        to: usize,
        board: &Chess,
        mv: Move,
        share: f64,
        left: u16,
    ) -> (Vec<MapBlock>, bool) {
        let mut after = board.clone();
        after.play_unchecked(mv);
        match &self.choices.turns[to] {
            Turn::Unknown if left > 0 => {
                let unknown = MapBlock { moves: 0, share, ..self.several(MapKind::Unknown) };
                (vec![unknown], false)
            }
            _ => {
                let children = self.behind(to, &after, share, left);
                (children, left == 0 || self.file.positions()[to].moves.is_empty())
            }
        }
    }

    fn several(&self, kind: MapKind) -> MapBlock {
        let (san, children) = (String::new(), Vec::new());
        MapBlock { san, moves: 0, share: 0.0, kind, ends: false, children }
    }
}
