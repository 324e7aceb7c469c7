//! The key of a position: which positions are one and the same.
//!
//! The key is shakmaty's 64-bit Zobrist hash, with en passant only if such a capture is legal:
//! after 1. e4 nobody can capture on e3, so the square says nothing, and would split positions that
//! are the same. The hash is promised to be stable and equals published vectors. Among n positions
//! about n^2 / 2^65 pairs share a key, one among some 6 billion positions; 128 bits would make
//! every record, run and entry 8 bytes longer.

use std::collections::HashMap;
use std::fmt;
use std::hash::{BuildHasherDefault, Hasher};
use std::str::FromStr;

use shakmaty::zobrist::{Zobrist64, ZobristValue};
use shakmaty::{
    Bitboard, CastlingSide, Chess, Color, EnPassantMode, File, Move, Piece, Position, Rank, Role,
    Square,
};

/// An en passant square belongs to the position only if the capture is legal.
pub const EN_PASSANT: EnPassantMode = EnPassantMode::Legal;

/// The 64-bit Zobrist hash of a position: board, side to move, castling rights, and the en passant
/// file if such a capture is legal. Move order is forgotten, so transpositions meet.
///
/// # Stability
///
/// The value is shakmaty's, which promises not to change it, and equals the vectors published for
/// the common 64-bit key scheme. Stores on disk depend on it: a change is a new store format.
///
/// # Collisions
///
/// Among n positions about n^2 / 2^65 pairs share a key by chance: one chance in 37 for a month
/// of one billion kept positions, one in 37 million for a million of them.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Key(pub u64);

impl Key {
    /// The key of a position.
    pub fn of(position: &Chess) -> Key {
        Key(position.zobrist_hash::<Zobrist64>(EN_PASSANT).0)
    }

    /// The key of the position `after` the legal move `mv` from the one `before`, whose key this
    /// is: the same as [`Key::of`], from what the move changes.
    pub fn behind(self, before: &Chess, mv: Move, after: &Chess) -> Key {
        let [had, has] = [before, after].map(|position| position.castles().castling_rights());
        let moved = self.moved(before.turn(), mv).with_castling(had ^ has);
        let squares = [before, after].map(|position| position.ep_square(EN_PASSANT));
        squares.into_iter().flatten().fold(moved, Key::with_en_passant)
    }

    /// What the pieces that a side moves change, and that it is the other's turn then.
    fn moved(self, mover: Color, mv: Move) -> Key {
        let piece = |role: Role| Piece { role, color: mover };
        let key = self.with_other_turn();
        match mv {
            Move::Normal { role, from, capture, to, promotion } => {
                let key = key
                    .with_piece(from, piece(role))
                    .with_piece(to, piece(promotion.unwrap_or(role)));
                capture.map_or(key, |taken| key.with_piece(to, taken.of(!mover)))
            }
            Move::EnPassant { from, to } => {
                let taken = Square::from_coords(to.file(), from.rank());
                let key = key.with_piece(from, piece(Role::Pawn)).with_piece(to, piece(Role::Pawn));
                key.with_piece(taken, Role::Pawn.of(!mover))
            }
            Move::Castle { king, rook } => {
                let side = CastlingSide::from_king_side(king < rook);
                let kings = [king, side.king_to(mover)].map(|square| (square, Role::King));
                let rooks = [rook, side.rook_to(mover)].map(|square| (square, Role::Rook));
                let squares = kings.into_iter().chain(rooks);
                squares.fold(key, |key, (square, role)| key.with_piece(square, piece(role)))
            }
            Move::Put { role, to } => key.with_piece(to, piece(role)),
        }
    }

    /// What a piece changes that comes to a square or leaves it.
    #[inline]
    pub fn with_piece(self, square: Square, piece: Piece) -> Key {
        Key((Zobrist64(self.0) ^ Zobrist64::zobrist_for_piece(square, piece)).0)
    }

    /// What it changes that it is the other side's turn.
    #[inline]
    pub fn with_other_turn(self) -> Key {
        Key((Zobrist64(self.0) ^ Zobrist64::zobrist_for_white_turn()).0)
    }

    /// What it changes that it may be castled with these rooks, or no longer may.
    pub fn with_castling(self, rooks: Bitboard) -> Key {
        let right = |rook: Square| {
            let colour = Color::from_white(rook.rank() == Rank::First);
            let side = CastlingSide::from_king_side(rook.file() == File::H);
            Zobrist64::zobrist_for_castling_right(colour, side)
        };
        Key(rooks.into_iter().map(right).fold(Zobrist64(self.0), |hash, right| hash ^ right).0)
    }

    /// What it changes that a pawn can be taken en passant on a square, or no longer can.
    pub fn with_en_passant(self, square: Square) -> Key {
        Key((Zobrist64(self.0) ^ Zobrist64::zobrist_for_en_passant_file(square.file())).0)
    }
}

/// Hashes keys to themselves: they are hashes already.
#[derive(Clone, Copy, Debug, Default)]
pub struct KeyHasher(u64);

impl Hasher for KeyHasher {
    fn write(&mut self, bytes: &[u8]) {
        bytes.iter().for_each(|&byte| self.0 = self.0.rotate_left(8) ^ u64::from(byte));
    }

    fn write_u64(&mut self, key: u64) {
        self.0 ^= key;
    }

    fn finish(&self) -> u64 {
        self.0
    }
}

/// A map from keys, for many.
pub type KeyMap<V> = HashMap<Key, V, BuildHasherDefault<KeyHasher>>;

impl fmt::Display for Key {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:016x}", self.0)
    }
}

impl fmt::Debug for Key {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Key({self})")
    }
}

impl FromStr for Key {
    type Err = std::num::ParseIntError;

    fn from_str(hex: &str) -> Result<Key, Self::Err> {
        u64::from_str_radix(hex, 16).map(Key)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use shakmaty::CastlingMode;
    use shakmaty::fen::Fen;
    use shakmaty::san::San;

    fn after(line: &str) -> Key {
        let mut position = Chess::default();
        for san in line.split_whitespace() {
            let san: San = san.parse().expect("a move");
            let mv = san.to_move(&position).expect("a legal move");
            position.play_unchecked(mv);
        }
        Key::of(&position)
    }

    /// The nine published vectors of the common 64-bit key scheme, as quoted in public test suites;
    /// then four standard perft positions, computed with python-chess 1.11.2.
    #[test]
    fn keys_equal_the_published_vectors() {
        let rows = [
            ("rnbqkbnr/pppppppp/8/8/8/8/PPPPPPPP/RNBQKBNR w KQkq - 0 1", 0x463b96181691fc9c),
            ("rnbqkbnr/pppppppp/8/8/4P3/8/PPPP1PPP/RNBQKBNR b KQkq e3 0 1", 0x823c9b50fd114196),
            ("rnbqkbnr/ppp1pppp/8/3p4/4P3/8/PPPP1PPP/RNBQKBNR w KQkq d6 0 2", 0x0756b94461c50fb0),
            ("rnbqkbnr/ppp1pppp/8/3pP3/8/8/PPPP1PPP/RNBQKBNR b KQkq - 0 2", 0x662fafb965db29d4),
            ("rnbqkbnr/ppp1p1pp/8/3pPp2/8/8/PPPP1PPP/RNBQKBNR w KQkq f6 0 3", 0x22a48b5a8e47ff78),
            ("rnbqkbnr/ppp1p1pp/8/3pPp2/8/8/PPPPKPPP/RNBQ1BNR b kq - 0 3", 0x652a607ca3f242c1),
            ("rnbq1bnr/ppp1pkpp/8/3pPp2/8/8/PPPPKPPP/RNBQ1BNR w - - 0 4", 0x00fdd303c946bdd9),
            ("rnbqkbnr/p1pppppp/8/8/PpP4P/8/1P1PPPP1/RNBQKBNR b KQkq c3 0 3", 0x3c8123ea7b067637),
            ("rnbqkbnr/p1pppppp/8/8/P6P/R1p5/1P1PPPP1/1NBQKBNR b Kkq - 0 4", 0x5c3f9b829b279560),
            (
                "r3k2r/p1ppqpb1/bn2pnp1/3PN3/1p2P3/2N2Q1p/PPPBBPPP/R3K2R w KQkq - 0 1",
                0xc3ce103f01d15e1d,
            ),
            ("8/2p5/3p4/KP5r/1R3p1k/8/4P1P1/8 w - - 0 1", 0x63f923fed11bffdc),
            (
                "r3k2r/Pppp1ppp/1b3nbN/nP6/BBP1P3/q4N2/Pp1P2PP/R2Q1RK1 w kq - 0 1",
                0x297175ba443b0558,
            ),
            ("rnbq1k1r/pp1Pbppp/2p5/8/2B5/8/PPP1NnPP/RNBQK2R w KQ - 1 8", 0x4f874e21f78d3590),
        ];
        for (fen, key) in rows {
            let fen: Fen = fen.parse().expect("a FEN");
            let position: Chess = fen.into_position(CastlingMode::Standard).expect("legal");
            assert_eq!(Key::of(&position), Key(key));
        }
    }

    proptest! {
        #[test]
        fn the_key_behind_a_move_is_the_key_of_its_position(choices in prop::collection::vec(any::<u16>(), 0..200)) {
            let mut position = Chess::default();
            for choice in choices {
                let (before, key) = (position.clone(), Key::of(&position));
                let moves = before.legal_moves();
                for &mv in &moves {
                    let mut after = before.clone();
                    after.play_unchecked(mv);
                    prop_assert_eq!(key.behind(&before, mv, &after), Key::of(&after), "{} in {:?}", mv, before);
                }
                let Some(&mv) = moves.get(usize::from(choice) % moves.len().max(1)) else { break };
                position.play_unchecked(mv);
            }
        }
    }

    /// Pairs of lines computed alike by python-chess and shakmaty.
    #[test]
    fn only_what_is_the_same_to_play_shares_a_key() {
        let equal = [
            ("d4 d5 c4 e6", "c4 e6 d4 d5", 0xfc30f6b3c0a1a4ad),
            ("f4 e6 Kf2 Qf6 f5 g5", "f4 g5 Kf2 e6 f5 Qf6", 0x598c0b8ff9303166),
            ("Nf3 Nf6 Ng1 Ng8", "", 0x463b96181691fc9c),
            ("e4 e5 Nf3 Nc6", "Nf3 Nc6 e4 e5", 0x78cda70e17837d9e),
        ];
        for (a, b, key) in equal {
            assert_eq!((after(a), after(b)), (Key(key), Key(key)));
        }
        assert_eq!(after("e4 a6 e5 f5"), Key(0x753958bdf5b34982));
        assert_eq!(after("e4 f5 e5 a6"), Key(0xa5dd1ac7a0a7b2f0));
        assert_eq!(after("Nf3 a6 Rg1 a5 Rh1"), Key(0xd244f44bd67ed728));
        assert_eq!(after("Nh3 a6 Ng1 a5 Nf3"), Key(0xe393e985b2cc1438));
    }
}
