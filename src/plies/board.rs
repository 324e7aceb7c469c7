//! A board that knows its key.

use shakmaty::attacks::{
    between, bishop_attacks, king_attacks, knight_attacks, pawn_attacks, rook_attacks,
};
use shakmaty::{
    Bitboard, Board, ByColor, ByRole, CastlingMode, CastlingSide, Chess, Color, FromSetup, Move,
    Piece, Position, PositionError, Role, Setup, Square,
};

use crate::terms::{EN_PASSANT, Key};

/// A position of standard chess that a game came to. A move changes what stands on it and its key
/// at a time; what the rules say of a position in full is left to [`Chess`].
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct KeyedBoard {
    by_role: ByRole<Bitboard>,
    by_color: ByColor<Bitboard>,
    turn: Color,
    /// The rooks with which it may be castled.
    castling: Bitboard,
    /// Where a pawn may be taken en passant, if that is legal.
    en_passant: Option<Square>,
    key: Key,
}

/// The squares on a square's file and rank, and on its diagonals. What stands between is looked at
/// where there is a piece: most kings have none on their lines, and the tables for all that may
/// stand between do not fit into caches.
fn straights(square: Square) -> Bitboard {
    rook_attacks(square, Bitboard::EMPTY)
}

fn diagonals(square: Square) -> Bitboard {
    bishop_attacks(square, Bitboard::EMPTY)
}

/// Whether nothing stands between two squares on a line.
fn is_free(from: Square, to: Square, occupied: Bitboard) -> bool {
    (between(from, to) & occupied).is_empty()
}

/// A move of one piece to another square that makes it no other piece.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Plain {
    pub role: Role,
    pub from: Square,
    pub capture: Option<Role>,
    pub to: Square,
}

/// A board but for whose turn it is and its key, in half a line of the processor's caches.
///
/// The roles are numbers from 1, of which each plane has a bit, and a rook with which it may be
/// castled is 7; the last plane has White's pieces, and where a pawn may be taken en passant, which
/// is an empty square.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct PackedBoard([Bitboard; 4]);

impl PackedBoard {
    /// The board of the side to move and the key.
    pub(super) fn unpack(self, turn: Color, key: Key) -> KeyedBoard {
        let [ones, twos, fours, white] = self.0;
        let castling = ones & twos & fours;
        let occupied = ones | twos | fours;
        let by_role = ByRole {
            pawn: ones & !twos & !fours,
            knight: twos & !ones & !fours,
            bishop: ones & twos & !fours,
            rook: (fours & !ones & !twos) | castling,
            queen: ones & fours & !twos,
            king: twos & fours & !ones,
        };
        let by_color = ByColor { white: white & occupied, black: occupied & !white };
        let en_passant = (white & !occupied).first();
        KeyedBoard { by_role, by_color, turn, castling, en_passant, key }
    }
}

impl From<&KeyedBoard> for PackedBoard {
    fn from(board: &KeyedBoard) -> PackedBoard {
        let ByRole { pawn, knight, bishop, rook, queen, king } = board.by_role;
        let en_passant = board.en_passant.map_or(Bitboard::EMPTY, Bitboard::from);
        PackedBoard([
            pawn | bishop | queen | board.castling,
            knight | bishop | king | board.castling,
            rook | queen | king,
            board.by_color.white | en_passant,
        ])
    }
}

impl From<&Chess> for KeyedBoard {
    fn from(position: &Chess) -> KeyedBoard {
        let (by_role, by_color) = position.board().clone().into_bitboards();
        KeyedBoard {
            by_role,
            by_color,
            turn: position.turn(),
            castling: position.castles().castling_rights(),
            en_passant: position.ep_square(EN_PASSANT),
            key: Key::of(position),
        }
    }
}

impl KeyedBoard {
    pub(super) fn key(&self) -> Key {
        self.key
    }

    pub(super) fn turn(&self) -> Color {
        self.turn
    }

    /// The rooks with which it may be castled.
    pub(super) fn castling(&self) -> Bitboard {
        self.castling
    }

    /// The pieces of this role.
    pub(super) fn all(&self, role: Role) -> Bitboard {
        *self.by_role.get(role)
    }

    /// The pieces of one side.
    pub(super) fn side(&self, color: Color) -> Bitboard {
        *self.by_color.get(color)
    }

    /// The pieces of this role of the side to move.
    pub(super) fn our(&self, role: Role) -> Bitboard {
        self.all(role) & self.side(self.turn)
    }

    pub(super) fn occupied(&self) -> Bitboard {
        self.by_color.white | self.by_color.black
    }

    pub(super) fn role_at(&self, square: Square) -> Option<Role> {
        self.by_role.find(|pieces| pieces.contains(square))
    }

    /// The pieces of this role of the side to move that could go to a square, were their king no
    /// matter; of pawns none.
    #[inline]
    pub(super) fn candidates(&self, role: Role, to: Square) -> Bitboard {
        let ours = self.our(role);
        let on_lines = |lines: Bitboard| {
            let is_free = |&from: &Square| is_free(from, to, self.occupied());
            (ours & lines).into_iter().filter(is_free).collect()
        };
        match role {
            Role::Pawn => Bitboard::EMPTY,
            Role::Knight => ours & knight_attacks(to),
            Role::King => ours & king_attacks(to),
            Role::Bishop => on_lines(diagonals(to)),
            Role::Rook => on_lines(straights(to)),
            Role::Queen => on_lines(straights(to) | diagonals(to)),
        }
    }

    /// Whether the other side, but for pieces that are gone, would attack a square if these squares
    /// were occupied.
    #[inline]
    pub(super) fn is_attacked(&self, square: Square, occupied: Bitboard, gone: Bitboard) -> bool {
        let ByRole { pawn, knight, bishop, rook, queen, king } = self.by_role;
        let theirs = self.side(!self.turn) & !gone;
        let near = (knight_attacks(square) & knight)
            | (king_attacks(square) & king)
            | (pawn_attacks(self.turn, square) & pawn);
        let far = (straights(square) & (rook | queen)) | (diagonals(square) & (bishop | queen));
        (near & theirs).any()
            || (far & theirs).into_iter().any(|from| is_free(from, square, occupied))
    }

    /// Puts a piece on a square, or takes it away.
    fn toggle(&mut self, square: Square, piece: Piece) {
        self.by_role.get_mut(piece.role).toggle(square);
        self.by_color.get_mut(piece.color).toggle(square);
        self.key = self.key.with_piece(square, piece);
    }

    /// Ends a turn; whose it was.
    fn end_turn(&mut self) -> Color {
        let mover = self.turn;
        self.key = self.key.with_other_turn();
        if let Some(square) = self.en_passant.take() {
            self.key = self.key.with_en_passant(square);
        }
        self.turn = !mover;
        mover
    }

    /// Plays a legal move.
    pub(super) fn play(&mut self, mv: Move) {
        match mv {
            Move::Normal { role, from, capture, to, promotion } => {
                self.play_plain(Plain { role, from, capture, to });
                if let Some(role) = promotion {
                    self.toggle(to, Role::Pawn.of(!self.turn));
                    self.toggle(to, role.of(!self.turn));
                }
            }
            Move::Castle { king, rook } => {
                let mover = self.end_turn();
                let side = CastlingSide::from_king_side(king < rook);
                self.toggle(king, Role::King.of(mover));
                self.toggle(rook, Role::Rook.of(mover));
                self.toggle(side.king_to(mover), Role::King.of(mover));
                self.toggle(side.rook_to(mover), Role::Rook.of(mover));
                self.discard_castling(mover.backrank().into());
            }
            Move::EnPassant { from, to } => {
                let mover = self.end_turn();
                let taken = Square::from_coords(to.file(), from.rank());
                self.toggle(taken, Role::Pawn.of(!mover));
                self.toggle(from, Role::Pawn.of(mover));
                self.toggle(to, Role::Pawn.of(mover));
            }
            Move::Put { role, to } => {
                let mover = self.end_turn();
                self.toggle(to, role.of(mover));
            }
        }
    }

    /// Plays a legal move that takes a piece to another square, and is neither castling
    /// nor en passant.
    #[inline]
    pub(super) fn play_plain(&mut self, Plain { role, from, capture, to }: Plain) {
        let mover = self.end_turn();
        self.toggle(from, role.of(mover));
        if let Some(taken) = capture {
            self.toggle(to, taken.of(!mover));
        }
        self.toggle(to, role.of(mover));
        if self.castling.any() {
            let kings = if role == Role::King { mover.backrank().into() } else { Bitboard::EMPTY };
            self.discard_castling(kings | Bitboard::from(from) | Bitboard::from(to));
        }
        if role == Role::Pawn && u32::from(from).abs_diff(u32::from(to)) == 16 {
            self.allow_en_passant(from, to);
        }
    }

    /// These squares were left or taken: it is no longer castled with rooks there.
    fn discard_castling(&mut self, squares: Bitboard) {
        let lost = self.castling & squares;
        if lost.any() {
            self.castling ^= lost;
            self.key = self.key.with_castling(lost);
        }
    }

    /// After a pawn's long step: the other side may take it if a pawn of theirs stands beside it
    /// and can do so without leaving its king attacked.
    fn allow_en_passant(&mut self, from: Square, to: Square) {
        let Some(over) = from.offset((i32::from(to) - i32::from(from)) / 2) else { return };
        let takers = pawn_attacks(!self.turn, over) & self.our(Role::Pawn);
        if takers.is_empty() {
            return;
        }
        let Some(king) = self.our(Role::King).first() else { return };
        let is_safe = |taker: Square| {
            let gone = Bitboard::from(taker) | Bitboard::from(to);
            let occupied = (self.occupied() & !gone) | Bitboard::from(over);
            !self.is_attacked(king, occupied, gone)
        };
        if takers.into_iter().any(is_safe) {
            self.en_passant = Some(over);
            self.key = self.key.with_en_passant(over);
        }
    }

    /// The same position with all rules, but for those that count moves.
    pub(super) fn in_full(&self) -> Chess {
        let mut setup = Setup::empty();
        setup.board = Board::try_from_bitboards(self.by_role, self.by_color)
            .expect("each piece has a role and a side");
        setup.turn = self.turn;
        setup.castling_rights = self.castling;
        setup.ep_square = self.en_passant;
        Chess::from_setup(setup, CastlingMode::Standard)
            .or_else(PositionError::ignore_too_much_material)
            .or_else(PositionError::ignore_impossible_check)
            .expect("a game came to it")
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use shakmaty::EnPassantMode;

    use super::*;

    proptest! {
        /// The judge is shakmaty, which plays the same moves.
        #[test]
        fn moves_change_the_board_and_its_key_as_the_rules_say(choices in prop::collection::vec(any::<u16>(), 0..200)) {
            let (mut position, mut keyed) = (Chess::default(), KeyedBoard::from(&Chess::default()));
            for choice in choices {
                let moves = position.legal_moves();
                for &mv in &moves {
                    let (mut full, mut next) = (position.clone(), keyed.clone());
                    full.play_unchecked(mv);
                    next.play(mv);
                    prop_assert_eq!(next.key(), Key::of(&full), "{} in {:?}", mv, position);
                    let packed = PackedBoard::from(&next);
                    prop_assert_eq!(&packed.unpack(next.turn(), next.key()), &next);
                    let whole = next.in_full().to_setup(EnPassantMode::Legal);
                    let wanted = full.to_setup(EN_PASSANT);
                    prop_assert_eq!(whole.board, wanted.board);
                    prop_assert_eq!((whole.turn, whole.castling_rights, whole.ep_square),
                        (wanted.turn, wanted.castling_rights, wanted.ep_square), "{} in {:?}", mv, position);
                }
                let Some(&mv) = moves.get(usize::from(choice) % moves.len().max(1)) else { break };
                position.play_unchecked(mv);
                keyed.play(mv);
            }
        }
    }
}
