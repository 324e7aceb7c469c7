//! Moves and positions as an answer writes them.

use serde::Serialize;
use shakmaty::Chess;
use shakmaty::fen::Fen;

use super::visits::play;
use crate::lines::{Line, san_text};
use crate::terms::{EN_PASSANT, MoveCode};

/// A move as people and programs write it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct PlayedMove {
    /// With its number, as in `3... Nd4`.
    #[serde(skip)]
    pub numbered: String,
    /// SAN.
    pub san: String,
    /// UCI, castling as e1g1.
    pub uci: String,
}

pub(super) fn fen(position: &Chess) -> String {
    Fen::from_position(position, EN_PASSANT).to_string()
}

impl PlayedMove {
    /// A move after a line.
    pub(super) fn of(line: &Line, code: MoveCode) -> PlayedMove {
        let mut after = line.clone();
        play(&mut after, code);
        let mv = after.moves()[line.len()];
        PlayedMove {
            numbered: after.text(line.len()..after.len()),
            san: san_text(line.end(), mv),
            uci: code.to_string(),
        }
    }
}
