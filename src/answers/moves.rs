//! The moves played in a position.

use serde::{Serialize, Serializer};
use shakmaty::Color;

use super::claims::ClaimAnswer;
use super::{Mean, Rate};
use crate::counts::{Limits, MoverFilter, Pace};

/// The moves that the movers of the filter played in a position, most played first.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MoveTable {
    /// Which position.
    pub position: PositionView,
    /// Whose moves.
    pub filter: MoverFilter,
    /// Games in which a mover of the filter played a move here.
    pub games: u64,
    /// The moves by rank; ties by UCI text.
    pub moves: Vec<MoveRow>,
    /// Claims that were asked, in their order.
    pub claims: Vec<ClaimAnswer>,
    /// A figure that rests on fewer games is withheld.
    pub min_sample: u64,
    /// Games by pace, in table order, only paces with games.
    pub paces: Vec<PaceGames>,
    /// The mover's expected score over all these games, 0..=1; none without games.
    pub expected: Option<f64>,
    /// The rating difference (mover minus opponent) that this expected score is equal to.
    pub rating_difference: Option<f64>,
    /// How far the counts reach.
    #[serde(skip)]
    pub limits: Limits,
}

/// A position as an answer names it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PositionView {
    /// FEN, with an en passant square only if such a capture is legal.
    pub fen: String,
    /// Whose turn it is.
    #[serde(serialize_with = "color_name")]
    pub to_move: Color,
    /// The learned opening name.
    pub name: Option<String>,
    /// The learned ECO code.
    pub eco: Option<String>,
    /// How many games may be missing; 0 means that the counts are exact.
    pub may_lack: u64,
}

/// One move of a position; scores are the mover's.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MoveRow {
    /// The move in SAN.
    pub san: String,
    /// The move in UCI terms, castling as e1g1.
    pub uci: String,
    /// 1 for the most played.
    pub rank: usize,
    /// Games.
    pub games: u64,
    /// Games the mover won.
    pub wins: u64,
    /// Drawn games.
    pub draws: u64,
    /// Games the mover lost.
    pub losses: u64,
    /// Share of the move among all moves here.
    pub share: Rate,
    /// Mean score, 0..=1.
    pub score: Mean,
    /// Mean score that the ratings predict, 0..=1.
    pub expected: f64,
    /// Score against expectation and against the ordinary, in points a game.
    pub edge: Mean,
    /// Seconds spent on the move.
    pub clock_s: Mean,
    /// Evaluation after the move in centipawns, clamped to +-1000; no interval.
    pub eval_cp: Mean,
}

/// Games of one pace.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct PaceGames {
    /// The pace.
    pub pace: Pace,
    /// Games.
    pub games: u64,
}

pub(super) fn color_name<S: Serializer>(color: &Color, to: S) -> Result<S::Ok, S::Error> {
    to.serialize_str(color.fold_wb("white", "black"))
}
