//! Forced mate, proved by search over legal moves.

use shakmaty::{Bitboard, Chess, Move, MoveList, Piece, Position, Square, attacks};

/// What a search for a forced mate found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Proof {
    /// The side to move mates in at most so many of its moves, whatever the other side plays.
    Proved {
        /// The fewest moves in which it does.
        moves: u8,
    },
    /// The other side can avoid mate for that long.
    NotForced,
    /// The search was given up; nothing is known.
    GivenUp,
}

/// A bound on the work of a search, in positions looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Nodes(pub u32);

/// Whether the side to move in `position` mates by force in at most `moves` of its own moves; also
/// how many positions were looked at.
///
/// The search deepens move by move, so the mate it finds is the shortest. It looks at every reply;
/// a draw by repetition or by the fifty-move rule is not looked for, since a shortest mate of a few
/// moves repeats nothing.
pub fn prove_mate(position: &Chess, moves: u8, most: Nodes) -> (Proof, Nodes) {
    let mut search = Search { left: most.0 };
    let used = |search: &Search| Nodes(most.0 - search.left);
    for depth in 1..=moves {
        match search.attacks(position, depth) {
            Some(true) => return (Proof::Proved { moves: depth }, used(&search)),
            Some(false) => {}
            None => return (Proof::GivenUp, used(&search)),
        }
    }
    (Proof::NotForced, used(&search))
}

struct Search {
    /// Positions that may still be looked at.
    left: u32,
}

impl Search {
    /// Whether some move of the side to move mates within `depth` moves; `None` when given up.
    fn attacks(&mut self, position: &Chess, depth: u8) -> Option<bool> {
        let mut quiet = MoveList::new();
        let checks = Checks::of(position);
        // Checks first: they leave few replies. The last move has to be one.
        for mv in position.legal_moves() {
            self.look()?;
            if !checks.has(mv) {
                quiet.push(mv);
            } else if self.is_lost(&after(position, mv), depth)? {
                return Some(true);
            }
        }
        if depth == 1 {
            return Some(false);
        }
        for mv in quiet {
            self.look()?;
            if self.is_lost(&after(position, mv), depth)? {
                return Some(true);
            }
        }
        Some(false)
    }

    /// Whether the side to move is mated now, or whatever it plays within `depth` - 1 more moves.
    fn is_lost(&mut self, position: &Chess, depth: u8) -> Option<bool> {
        let replies = position.legal_moves();
        if replies.is_empty() || depth == 1 {
            return Some(replies.is_empty() && position.is_check());
        }
        for reply in replies {
            self.look()?;
            if !self.attacks(&after(position, reply), depth - 1)? {
                return Some(false);
            }
        }
        Some(true)
    }

    /// Counts one more position; `None` if that is too many.
    fn look(&mut self) -> Option<()> {
        self.left = self.left.checked_sub(1)?;
        Some(())
    }
}

fn after(position: &Chess, mv: Move) -> Chess {
    let mut after = position.clone();
    after.play_unchecked(mv);
    after
}

/// Which legal moves of a position give check. Most moves of a search are the last one and give
/// none; to see that they need not be played.
struct Checks<'p> {
    position: &'p Chess,
    king: Square,
    /// The squares from which any piece would give check, and those of pieces that may stand before
    /// one that does.
    near: Bitboard,
}

impl Checks<'_> {
    fn of(position: &Chess) -> Checks<'_> {
        let board = position.board();
        let king = board.king_of(position.turn().other()).expect("both sides have a king");
        let near = attacks::queen_attacks(king, board.occupied()) | attacks::knight_attacks(king);
        Checks { position, king, near }
    }

    fn has(&self, mv: Move) -> bool {
        let Move::Normal { role, from, to, promotion, .. } = mv else {
            return after(self.position, mv).is_check();
        };
        // A pawn that promotes may give check along the file that it came on.
        if promotion.is_none() && !self.near.contains(from) && !self.near.contains(to) {
            return false;
        }
        let (board, us) = (self.position.board(), self.position.turn());
        let occupied = board.occupied().without(from).with(to);
        let piece = Piece { color: us, role: promotion.unwrap_or(role) };
        // The piece itself, or one behind the square that it leaves.
        let along = |lines, sliders| lines & sliders & board.by_color(us).without(from);
        let rooks = || attacks::rook_attacks(self.king, occupied);
        let bishops = || attacks::bishop_attacks(self.king, occupied);
        attacks::attacks(to, piece, occupied).contains(self.king)
            || along(rooks(), board.rooks_and_queens()).any()
            || along(bishops(), board.bishops_and_queens()).any()
    }
}

#[cfg(test)]
mod tests {
    use shakmaty::CastlingMode;
    use shakmaty::fen::Fen;

    use super::*;
    use crate::answers::kit::play;

    fn position(fen: &str) -> Chess {
        let fen: Fen = fen.parse().expect("a FEN");
        fen.into_position(CastlingMode::Standard).expect("a legal position")
    }

    fn proof(position: &Chess, moves: u8) -> Proof {
        prove_mate(position, moves, Nodes(1_000_000)).0
    }

    /// Legal's mate, common knowledge: after the slip mate in two, and no faster.
    #[test]
    fn a_mate_of_two_moves_is_proved_and_is_no_mate_of_one() {
        let slipped = play("e4 e5 Nf3 d6 Bc4 Bg4 Nc3 g6 Nxe5 Bxd1").1;
        assert_eq!(proof(&slipped, 1), Proof::NotForced);
        assert_eq!(proof(&slipped, 2), Proof::Proved { moves: 2 });
        assert_eq!(proof(&slipped, 4), Proof::Proved { moves: 2 });
    }

    #[test]
    fn fools_mate_is_one_move() {
        assert_eq!(proof(&play("f3 e5 g4").1, 3), Proof::Proved { moves: 1 });
    }

    /// White steps back with the king and Black, without a choice, forward: a quiet first move.
    #[test]
    fn a_quiet_first_move_is_found() {
        let corner = position("7k/8/5K2/8/8/8/8/R7 w - - 0 1");
        assert_eq!(proof(&corner, 1), Proof::NotForced);
        assert_eq!(proof(&corner, 2), Proof::Proved { moves: 2 });
    }

    /// Checks by the piece itself, by one behind it, by a promotion, by castling and by a capture
    /// in passing, and none of these.
    #[test]
    fn whether_a_move_gives_check_is_seen_before_it_is_played() {
        let fens = [
            "rnbqkbnr/ppp2ppp/8/3pp3/4P3/5N2/PPPP1PPP/RNBQKB1R w KQkq - 0 3",
            "r6r/1P2kP2/8/3B4/4N3/8/4R3/R3K2R w KQ - 0 1",
            "5k2/8/8/8/8/8/6P1/4K2R w K - 0 1",
            "8/8/8/1k1pP2R/8/8/B7/4K3 w - d6 0 1",
            "8/2k5/3p4/4pP2/8/6B1/8/4K3 w - e6 0 1",
            "3k4/2pP4/8/B2N4/8/8/3R4/3RK3 w - - 0 1",
        ];
        let (mut checks, mut moves) = (0, 0);
        for position in fens.map(position) {
            let known = Checks::of(&position);
            for mv in position.legal_moves() {
                let check = after(&position, mv).is_check();
                assert_eq!(known.has(mv), check, "{position:?} {mv:?}");
                checks += usize::from(check);
                moves += 1;
            }
        }
        assert!(checks > 15 && moves > 100, "{checks} of {moves}");
    }

    #[test]
    fn stalemate_is_no_mate() {
        // Qg6 takes every move from the king without giving check; Qf7 and others mate nothing.
        let near = position("7k/8/8/8/8/8/8/K5Q1 w - - 0 1");
        assert_eq!(proof(&near, 2), Proof::NotForced);
        let stalemate = position("7k/5Q2/8/8/8/8/8/K7 b - - 0 1");
        assert_eq!(proof(&stalemate, 2), Proof::NotForced);
    }

    #[test]
    fn a_search_that_may_look_at_too_little_is_given_up() {
        let start = Chess::default();
        assert_eq!(prove_mate(&start, 5, Nodes(1000)), (Proof::GivenUp, Nodes(1000)));
    }
}
