//! The structs of the answer.

#![expect(missing_docs, reason = "`help formats` explains the fields of answers")]

use serde::Serialize;
use shakmaty::Color;

use super::map::MapBlock;
use super::rules::Settings;
use crate::answers::Figure;
use crate::answers::moves::{MoveRow, color_name};
use crate::counts::{Beyond, Lacking, Limits};
use crate::lines::Prepared;
use crate::terms::MoverFilter;

/// What a file of prepared lines leaves unanswered.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct GapsAnswer {
    pub filter: MoverFilter,
    #[serde(rename = "as", serialize_with = "color_name")]
    pub side: Color,
    pub settings: Settings,
    /// A figure that rests on fewer games is withheld.
    pub min_sample: u64,
    pub file: FileSummary,
    pub answered: Figure,
    pub left: Figure,
    /// The share of games that come to a position of the file of which the counts know no game.
    pub unknown: Figure,
    /// None if they never do, or if that is not known.
    pub half_left_by: Option<u16>,
    /// The same by half-move, up to the last in which a game can leave the file.
    pub by_ply: Vec<PlyAnswer>,
    /// Games come to places that are unknown since they lie behind the half-moves that the
    /// store counts.
    #[serde(skip)]
    pub unknown_beyond: Option<Beyond>,
    pub gaps_in_all: usize,
    pub gaps: Vec<Gap>,
    /// What hardly ever comes up.
    #[serde(flatten)]
    pub spare: Spare,
    /// The flow as a tree, for a picture.
    #[serde(skip)]
    pub map: Vec<MapBlock>,
    /// How far the counts reach.
    #[serde(skip)]
    pub limits: Limits,
}

/// What a file holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct FileSummary {
    pub games: usize,
    pub lines: usize,
    pub positions: usize,
    pub moves: usize,
    pub own_choices: usize,
    pub their_choices: usize,
    pub without_reply: usize,
}

impl FileSummary {
    pub(super) fn of(file: &Prepared, side: Color) -> FileSummary {
        use shakmaty::Position;
        let ((moves, own_choices), (_, their_choices)) =
            (file.moves_by(side), file.moves_by(side.other()));
        let positions = file.positions();
        let open = |place: usize| {
            place != Prepared::START
                && positions[place].moves.is_empty()
                && positions[place].board.turn() == side
        };
        FileSummary {
            games: file.games(),
            lines: file.lines(),
            positions: positions.len(),
            moves,
            own_choices,
            their_choices,
            without_reply: (0..positions.len()).filter(|&place| open(place)).count(),
        }
    }

    /// Whether it looks like a file for the other side: it gives the student a choice and the
    /// opponent none.
    pub fn looks_turned(&self) -> bool {
        self.own_choices > 0 && self.their_choices == 0
    }
}

/// How a file stands after some half-moves.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PlyAnswer {
    pub ply: u16,
    /// The share of games that have met no gap and nothing unknown by then.
    pub answered: Figure,
    /// Like what is answered withheld if that is.
    pub left: Option<f64>,
    pub unknown: Option<f64>,
}

/// An opponent's move that the file does not answer.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Gap {
    pub line: String,
    pub fen: String,
    pub ply: usize,
    #[serde(rename = "move")]
    pub mv: GapMove,
    /// Name and code that were learned for the position after the move.
    pub name: Option<String>,
    pub eco: Option<String>,
    pub met: Figure,
    pub share: Figure,
    pub games: u64,
    pub score: Figure,
    pub edge: Figure,
    pub eval_cp: Figure,
    /// What players of the level reply: the three most played moves, and the best one, if there is
    /// one beyond chance.
    pub replies: Vec<Reply>,
    pub may_lack: Lacking,
    /// The place of the position in the file.
    #[serde(skip)]
    pub place: usize,
}

/// A move as people and programs write it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct GapMove {
    /// With its number, as in `1... d5`.
    #[serde(skip)]
    pub numbered: String,
    pub san: String,
    /// UCI, castling as e1g1.
    pub uci: String,
}

/// A reply to a gap, from the view of the student's side.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Reply {
    /// The move as in a move table.
    #[serde(flatten)]
    pub row: MoveRow,
    /// Whether it is the best; none of them, and `None`, where no reply scores more than the most
    /// played one beyond chance.
    pub best: Option<bool>,
}

/// What hardly ever comes up.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Spare {
    /// Lines that come up in too few games, those with most moves of the student first.
    pub unused: Vec<SpareLine>,
    pub prepared_moves: usize,
    pub never_chosen: usize,
    /// With so many of the most used ones 95 % of the games never come to a position whose move is
    /// missing. None where that is not known.
    pub carry_95: Option<usize>,
}

/// A line from which on nothing in the file comes up often.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SpareLine {
    /// The shortest beginning.
    pub line: String,
    pub met: Figure,
    pub moves: usize,
}

impl SpareLine {
    /// Whether it is certain to come up in fewer games than this share: its whole
    /// interval lies below.
    pub fn is_below(&self, share: f64) -> bool {
        self.met.high.is_some_and(|high| high < share)
    }
}
