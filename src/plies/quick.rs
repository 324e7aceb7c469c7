//! Finds the usual moves without listing candidates; for speed only.

use shakmaty::attacks::between;
use shakmaty::{Bitboard, CastlingSide, Color, File, Move, Rank, Role, Square};

use super::board::{KeyedBoard, Plain};

/// The move that a SAN word without its check sign stands for, if it is plain to see: a pawn's step
/// or capture, or a move that one piece only can make, after which the king is not attacked. `None`
/// says nothing: the rules of chess in full must decide.
#[inline]
pub(super) fn quick_move(position: &KeyedBoard, san: &[u8]) -> Option<Plain> {
    let (role, from, to, capture) = match *san {
        [file @ b'a'..=b'h', rank @ b'1'..=b'8'] => {
            let to = square(file, rank)?;
            (Role::Pawn, pawn_before(position, to)?, to, false)
        }
        [from @ b'a'..=b'h', b'x', file, rank] => {
            let to = square(file, rank)?;
            (Role::Pawn, pawn_beside(position, from, to)?, to, true)
        }
        [piece @ (b'K' | b'N' | b'B' | b'R' | b'Q'), ref middle @ .., file, rank] => {
            let role = Role::from_char(char::from(piece))?;
            let to = square(file, rank)?;
            let (mask, capture) = origin(middle)?;
            let candidates = position.candidates(role, to) & mask;
            (role, candidates.single_square()?, to, capture)
        }
        _ => return None,
    };
    let (us, at) = (position.turn(), Bitboard::from(to));
    let king = if role == Role::King { to } else { position.our(Role::King).first()? };
    let occupied = (position.occupied() ^ Bitboard::from(from)) | at;
    let legal = (position.side(us) & at).is_empty()
        && (position.side(!us) & at).any() == capture
        && !position.is_attacked(king, occupied, at);
    let capture = if capture { position.role_at(to) } else { None };
    legal.then_some(Plain { role, from, capture, to })
}

/// Castling, if the word stands for it and no square that the king passes is attacked; `None`
/// says nothing.
pub(super) fn quick_castling(position: &KeyedBoard, san: &[u8]) -> Option<Move> {
    let side = match san {
        b"O-O" => CastlingSide::KingSide,
        b"O-O-O" => CastlingSide::QueenSide,
        _ => return None,
    };
    let (us, occupied) = (position.turn(), position.occupied());
    let king = position.our(Role::King).single_square()?;
    let corner = Bitboard::from_file(if side.is_king_side() { File::H } else { File::A });
    let rook = (position.castling() & corner & us.backrank()).first()?;
    let safe = |square| !position.is_attacked(square, occupied, Bitboard::EMPTY);
    let legal = (between(king, rook) & occupied).is_empty()
        && safe(king)
        && safe(side.rook_to(us))
        && safe(side.king_to(us));
    legal.then_some(Move::Castle { king, rook })
}

fn square(file: u8, rank: u8) -> Option<Square> {
    let (file, rank) = (file.wrapping_sub(b'a'), rank.wrapping_sub(b'1'));
    (file | rank < 8).then(|| Square::new(u32::from(rank << 3 | file)))
}

/// Where the letters between piece and square let it come from, and whether it takes.
fn origin(middle: &[u8]) -> Option<(Bitboard, bool)> {
    let (from, capture) = match middle {
        [from @ .., b'x'] => (from, true),
        from => (from, false),
    };
    let mask = match *from {
        [] => Bitboard::FULL,
        [file @ b'a'..=b'h'] => Bitboard::from_file(File::from_char(char::from(file))?),
        [rank @ b'1'..=b'8'] => Bitboard::from_rank(Rank::from_char(char::from(rank))?),
        _ => return None,
    };
    Some((mask, capture))
}

/// The pawn that can step to `to` without promoting.
fn pawn_before(position: &KeyedBoard, to: Square) -> Option<Square> {
    let (back, long_step) = match position.turn() {
        Color::White => (-8, Rank::Fourth),
        Color::Black => (8, Rank::Fifth),
    };
    let pawns = position.our(Role::Pawn);
    let near = to.offset(back)?;
    let from = if pawns.contains(near) {
        near
    } else {
        let free = to.rank() == long_step && !position.occupied().contains(near);
        near.offset(back).filter(|&far| free && pawns.contains(far))?
    };
    promotes_not(to).then_some(from)
}

/// The pawn on that file that can take on `to` without promoting.
fn pawn_beside(position: &KeyedBoard, file: u8, to: Square) -> Option<Square> {
    let file = File::from_char(char::from(file))?;
    let rank = to.rank().offset(if position.turn().is_white() { -1 } else { 1 })?;
    let from = Square::from_coords(file, rank);
    let can = file.distance(to.file()) == 1 && position.our(Role::Pawn).contains(from);
    (can && promotes_not(to)).then_some(from)
}

fn promotes_not(to: Square) -> bool {
    !matches!(to.rank(), Rank::First | Rank::Eighth)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use shakmaty::san::San;
    use shakmaty::{Chess, Position};

    fn found(position: &KeyedBoard, san: &[u8]) -> Option<Move> {
        let plain = quick_move(position, san).map(|Plain { role, from, capture, to }| {
            Move::Normal { role, from, capture, to, promotion: None }
        });
        plain.or_else(|| quick_castling(position, san))
    }

    /// Words that name a move in some way, right, wrong, with too little and with too much.
    fn spellings(position: &Chess, mv: Move) -> Vec<String> {
        let san = San::from_move(position, mv).to_string();
        let mut words = vec![san.clone(), san.replace('x', ""), san.replace("=Q", "")];
        if let San::Normal { role, file, rank, capture, to, promotion } =
            San::from_move(position, mv)
        {
            let from = mv.from().expect("no drops in chess");
            for (file, rank) in [(None, None), (Some(from.file()), rank), (file, Some(from.rank()))]
            {
                words.push(San::Normal { role, file, rank, capture, to, promotion }.to_string());
                words.push(
                    San::Normal { role, file, rank, capture: !capture, to, promotion }.to_string(),
                );
            }
        }
        words
    }

    proptest! {
        #[test]
        fn what_is_plain_to_see_is_what_the_rules_say(choices in prop::collection::vec(any::<u16>(), 0..120)) {
            let (mut position, mut keyed) = (Chess::default(), KeyedBoard::from(&Chess::default()));
            for choice in choices {
                let moves = position.legal_moves();
                let all = position.clone();
                for &mv in &moves {
                    for word in spellings(&all, mv) {
                        if let Some(quick) = found(&keyed, word.as_bytes()) {
                            let slow = San::from_ascii(word.as_bytes()).ok().and_then(|san| san.to_move(&all).ok());
                            prop_assert_eq!(Some(quick), slow, "{} in {:?}", word, all);
                        }
                    }
                }
                let Some(&mv) = moves.get(usize::from(choice) % moves.len().max(1)) else { break };
                position.play_unchecked(mv);
                keyed.play(mv);
            }
        }
    }

    #[test]
    fn most_moves_of_an_opening_are_plain_to_see() {
        let mut position = KeyedBoard::from(&Chess::default());
        let mut quick = 0;
        let words =
            ["e4", "e5", "Nf3", "Nc6", "Bb5", "a6", "Bxc6", "dxc6", "Nxe5", "Qd4", "Nf3", "Qxe4"];
        for word in words {
            let san = San::from_ascii(word.as_bytes()).expect("a move");
            quick += usize::from(quick_move(&position, word.as_bytes()).is_some());
            position.play(san.to_move(&position.in_full()).expect("legal"));
        }
        assert_eq!(quick, words.len());
    }
}
