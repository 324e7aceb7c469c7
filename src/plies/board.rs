//! A board that knows its key.

use shakmaty::attacks::pawn_attacks;
use shakmaty::{
    Bitboard, Board, Castles, CastlingMode, CastlingSide, Chess, Color, FromSetup, Move, Piece,
    PositionError, Role, Setup, Square,
};

use crate::terms::Key;

/// A position of standard chess that a game came to. A move changes what stands on it and its key at a
/// time; what the rules say of a position in full is left to [`Chess`].
#[derive(Clone, Debug)]
pub(super) struct KeyedBoard {
    board: Board,
    turn: Color,
    castles: Castles,
    /// Where a pawn may be taken en passant, if that is legal.
    en_passant: Option<Square>,
    key: Key,
}

impl KeyedBoard {
    /// The start position.
    pub(super) fn start() -> KeyedBoard {
        KeyedBoard {
            board: Board::new(),
            turn: Color::White,
            castles: Castles::new(),
            en_passant: None,
            key: Key::of(&Chess::default()),
        }
    }

    pub(super) fn board(&self) -> &Board {
        &self.board
    }

    pub(super) fn turn(&self) -> Color {
        self.turn
    }

    pub(super) fn castles(&self) -> &Castles {
        &self.castles
    }

    pub(super) fn key(&self) -> Key {
        self.key
    }

    /// The pieces of the side to move of this role.
    pub(super) fn our(&self, role: Role) -> Bitboard {
        self.board.by_piece(role.of(self.turn))
    }

    /// What of the other side would attack a square if these squares were occupied.
    pub(super) fn attackers(&self, square: Square, occupied: Bitboard) -> Bitboard {
        self.board.attacks_to(square, !self.turn, occupied)
    }

    /// Plays a legal move.
    pub(super) fn play(&mut self, mv: Move) {
        let mover = self.turn;
        self.key = self.key.moved(mover, mv);
        if let Some(square) = self.en_passant.take() {
            self.key = self.key.with_en_passant(square);
        }
        self.turn = !mover;
        match mv {
            Move::Normal { role, from, capture, to, promotion } => {
                self.board.discard_piece_at(from);
                self.board
                    .set_piece_at(to, Piece { role: promotion.unwrap_or(role), color: mover });
                let touched = Bitboard::from(from) | Bitboard::from(to);
                let rooks = self.castles.castling_rights();
                if !rooks.is_empty() && (role == Role::King || !(rooks & touched).is_empty()) {
                    self.discard_castles(|castles| {
                        if role == Role::King {
                            castles.discard_color(mover);
                        }
                        castles.discard_rook(from);
                        if capture == Some(Role::Rook) {
                            castles.discard_rook(to);
                        }
                    });
                }
                if role == Role::Pawn && from.distance(to) == 2 {
                    self.allow_en_passant(from, to);
                }
            }
            Move::Castle { king, rook } => {
                let side = CastlingSide::from_king_side(king < rook);
                self.board.discard_piece_at(king);
                self.board.discard_piece_at(rook);
                self.board.set_piece_at(side.king_to(mover), Role::King.of(mover));
                self.board.set_piece_at(side.rook_to(mover), Role::Rook.of(mover));
                self.discard_castles(|castles| castles.discard_color(mover));
            }
            Move::EnPassant { from, to } => {
                self.board.discard_piece_at(Square::from_coords(to.file(), from.rank()));
                self.board.discard_piece_at(from);
                self.board.set_piece_at(to, Role::Pawn.of(mover));
            }
            Move::Put { role, to } => self.board.set_piece_at(to, role.of(mover)),
        }
    }

    fn discard_castles(&mut self, discard: impl FnOnce(&mut Castles)) {
        let had = self.castles.clone();
        discard(&mut self.castles);
        self.key = self.key.with_castles(&had, &self.castles);
    }

    /// After a pawn's long step: the other side may take it if a pawn of theirs stands beside it and can do so
    /// without leaving its king attacked.
    fn allow_en_passant(&mut self, from: Square, to: Square) {
        let Some(over) = from.offset((i32::from(to) - i32::from(from)) / 2) else { return };
        let takers = pawn_attacks(!self.turn, over) & self.our(Role::Pawn);
        let Some(king) = self.board.king_of(self.turn) else { return };
        let is_safe = |taker: Square| {
            let gone = Bitboard::from(taker) | Bitboard::from(to);
            let occupied = (self.board.occupied() & !gone) | Bitboard::from(over);
            (self.attackers(king, occupied) & !gone).is_empty()
        };
        if takers.into_iter().any(is_safe) {
            self.en_passant = Some(over);
            self.key = self.key.with_en_passant(over);
        }
    }

    /// The same position with all rules, but for those that count moves.
    pub(super) fn in_full(&self) -> Chess {
        let mut setup = Setup::empty();
        setup.board = self.board.clone();
        setup.turn = self.turn;
        setup.castling_rights = self.castles.castling_rights();
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
    use shakmaty::{EnPassantMode, Position};

    use super::*;
    use crate::terms::EN_PASSANT;

    proptest! {
        /// The judge is shakmaty, which plays the same moves.
        #[test]
        fn moves_change_the_board_and_its_key_as_the_rules_say(choices in prop::collection::vec(any::<u16>(), 0..200)) {
            let (mut position, mut keyed) = (Chess::default(), KeyedBoard::start());
            for choice in choices {
                let moves = position.legal_moves();
                for &mv in &moves {
                    let (mut full, mut next) = (position.clone(), keyed.clone());
                    full.play_unchecked(mv);
                    next.play(mv);
                    prop_assert_eq!(next.key(), Key::of(&full), "{} in {:?}", mv, position);
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
