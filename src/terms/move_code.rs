//! A move in 16 bits, ordered as its UCI text.

use std::fmt;

use shakmaty::uci::UciMove;
use shakmaty::{CastlingSide, File, Move, Role, Square};

/// A move by its squares and promotion; castling is the king's move of two files (e1g1).
///
/// Bits: from file (3), from rank (3), to file (3), to rank (3), promotion (3: none, b, n, q, r).
/// So numbers sort exactly as the UCI texts do.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct MoveCode(u16);

impl MoveCode {
    /// How many bits a code takes.
    pub const BITS: u32 = 15;

    /// The code of a legal move of standard chess.
    pub fn of(mv: Move) -> MoveCode {
        match mv {
            Move::Castle { king, rook } => {
                let side = CastlingSide::from_king_side(king < rook);
                let file = match side {
                    CastlingSide::KingSide => File::G,
                    CastlingSide::QueenSide => File::C,
                };
                MoveCode::pack(king, Square::from_coords(file, king.rank()), None)
            }
            _ => MoveCode::pack(mv.from().unwrap_or(mv.to()), mv.to(), mv.promotion()),
        }
    }

    /// The code of a move that is neither castling nor a promotion.
    #[inline]
    pub fn plain(from: Square, to: Square) -> MoveCode {
        MoveCode::pack(from, to, None)
    }

    #[inline]
    fn pack(from: Square, to: Square, promotion: Option<Role>) -> MoveCode {
        let square = |square: Square| u16::from(square.file()) << 3 | u16::from(square.rank());
        let promotion = match promotion {
            Some(Role::Bishop) => 1,
            Some(Role::Knight) => 2,
            Some(Role::Queen) => 3,
            Some(Role::Rook) => 4,
            _ => 0,
        };
        MoveCode(square(from) << 9 | square(to) << 3 | promotion)
    }

    /// The code as stored. Only [`MoveCode::BITS`] bits are used.
    pub fn bits(self) -> u16 {
        self.0
    }

    /// The code from its stored form, `None` if the bits are no move.
    pub fn from_bits(bits: u16) -> Option<MoveCode> {
        (bits >> Self::BITS == 0 && bits & 7 <= 4).then_some(MoveCode(bits))
    }

    /// From-square.
    pub fn from(self) -> Square {
        Self::square(self.0 >> 9)
    }

    /// To-square.
    pub fn to(self) -> Square {
        Self::square(self.0 >> 3)
    }

    /// The piece promoted to.
    pub fn promotion(self) -> Option<Role> {
        match self.0 & 7 {
            1 => Some(Role::Bishop),
            2 => Some(Role::Knight),
            3 => Some(Role::Queen),
            4 => Some(Role::Rook),
            _ => None,
        }
    }

    fn square(bits: u16) -> Square {
        Square::from_coords(
            File::new(u32::from(bits >> 3 & 7)),
            shakmaty::Rank::new(u32::from(bits & 7)),
        )
    }

    /// The move in UCI terms; castling as the king's move.
    pub fn uci(self) -> UciMove {
        UciMove::Normal { from: self.from(), to: self.to(), promotion: self.promotion() }
    }

    /// The legal move of this position that the code stands for.
    pub fn to_move(self, position: &shakmaty::Chess) -> Option<Move> {
        self.uci().to_move(position).ok()
    }
}

impl fmt::Display for MoveCode {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.uci().fmt(f)
    }
}

impl From<UciMove> for MoveCode {
    fn from(uci: UciMove) -> MoveCode {
        match uci {
            UciMove::Normal { from, to, promotion } => MoveCode::pack(from, to, promotion),
            UciMove::Put { to, .. } => MoveCode::pack(to, to, None),
            UciMove::Null => MoveCode::pack(Square::A1, Square::A1, None),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use shakmaty::fen::Fen;
    use shakmaty::{CastlingMode, Chess, Position};

    fn position(fen: &str) -> Chess {
        let fen: Fen = fen.parse().expect("a FEN");
        fen.into_position(CastlingMode::Standard).expect("a legal position")
    }

    #[test]
    fn codes_sort_as_their_texts_and_come_back() {
        let fens = [
            "r3k2r/p1ppqpb1/bn2pnp1/3PN3/1p2P3/2N2Q1p/PPPBBPPP/R3K2R w KQkq - 0 1",
            "r3k2r/Pppp1ppp/1b3nbN/nP6/BBP1P3/q4N2/Pp1P2PP/R2Q1RK1 w kq - 0 1",
            "rnbq1k1r/pp1Pbppp/2p5/8/2B5/8/PPP1NnPP/RNBQK2R w KQ - 1 8",
        ];
        for position in fens.map(position) {
            let mut moves: Vec<(MoveCode, String)> = position
                .legal_moves()
                .into_iter()
                .map(|mv| (MoveCode::of(mv), mv.to_uci(CastlingMode::Standard).to_string()))
                .collect();
            moves.sort();
            assert!(moves.is_sorted_by(|a, b| a.1 < b.1));
            for (code, text) in moves {
                assert_eq!(code.to_string(), text);
                assert_eq!(MoveCode::from_bits(code.bits()), Some(code));
                let back = code.to_move(&position).map(MoveCode::of);
                assert_eq!(back, Some(code));
            }
        }
    }

    #[test]
    fn castling_is_the_kings_move() {
        let position = position("r3k2r/8/8/8/8/8/8/R3K2R w KQkq - 0 1");
        let codes: Vec<String> = position
            .legal_moves()
            .into_iter()
            .filter(|mv| mv.is_castle())
            .map(|mv| MoveCode::of(mv).to_string())
            .collect();
        assert_eq!(codes, ["e1g1", "e1c1"]);
    }
}
