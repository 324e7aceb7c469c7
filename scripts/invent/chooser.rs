//! A move for players without a book: looks one half-move ahead at captures, pieces left hanging
//! and development, with noise on top. Cheap, and good enough that nobody drops a queen every move.

use shakmaty::{Bitboard, Board, Chess, Color, Move, MoveList, Position, Rank, Role, Square};

use crate::dice::Dice;

/// Chooses among `moves` those not in `banned`; `noise` is in centipawns. `last` is the mover's own
/// last move, which is not taken back without a reason.
pub fn choose(
    position: &Chess,
    moves: &MoveList,
    banned: &[Move],
    last: Option<Move>,
    noise: f64,
    dice: &mut Dice,
) -> Option<Move> {
    let us = position.turn();
    let view = View::new(position.board(), us);
    let mut best: Option<(f64, Move)> = None;
    for &candidate in moves {
        if banned.contains(&candidate) {
            continue;
        }
        let mut worth = f64::from(view.material(candidate) + view.shape(candidate));
        if last.is_some_and(|last| last.from() == Some(candidate.to()) && last.to() == start(candidate)) {
            worth -= 60.0;
        }
        let score = worth + noise * dice.bell();
        if best.is_none_or(|(top, _)| score > top) {
            best = Some((score, candidate));
        }
    }
    best.map(|(_, chosen)| chosen)
}

fn value(role: Role) -> i32 {
    match role {
        Role::Pawn => 100,
        Role::Knight => 310,
        Role::Bishop => 320,
        Role::Rook => 500,
        Role::Queen => 900,
        Role::King => 10_000,
    }
}

fn start(candidate: Move) -> Square {
    candidate.from().expect("there are no drops in standard chess")
}

/// What the mover sees before choosing.
struct View<'a> {
    board: &'a Board,
    us: Color,
    /// Own pieces that would be lost if they stayed, worst first only.
    threatened: Bitboard,
    pieces: usize,
}

impl View<'_> {
    fn new(board: &Board, us: Color) -> View<'_> {
        let occupied = board.occupied();
        let own = board.by_color(us) & !board.pawns() & !board.kings();
        let mut threatened = Bitboard::EMPTY;
        for square in own {
            let attackers = board.attacks_to(square, !us, occupied);
            if attackers.is_empty() {
                continue;
            }
            let role = board.role_at(square).expect("the square is occupied");
            let defended = board.attacks_to(square, us, occupied).any();
            if !defended || cheapest(board, attackers) < value(role) {
                threatened.add(square);
            }
        }
        View {
            board,
            us,
            threatened,
            pieces: (occupied & !board.pawns()).count(),
        }
    }

    /// Centipawns won or lost at once: the capture, the recapture, a threatened piece saved.
    fn material(&self, candidate: Move) -> i32 {
        let (from, to) = (start(candidate), candidate.to());
        if candidate.is_castle() {
            return 0;
        }
        let moved = candidate.promotion().unwrap_or(candidate.role());
        let mut worth = candidate.capture().map_or(0, value);
        worth += candidate.promotion().map_or(0, |role| value(role) - 100);
        if self.threatened.contains(from) {
            worth += value(candidate.role()) * 9 / 10;
        }
        let occupied = self.board.occupied().without(from);
        let mut attackers = self.board.attacks_to(to, !self.us, occupied);
        if attackers.any() && moved != Role::King {
            let defended = self.board.attacks_to(to, self.us, occupied).without(from).any();
            if defended {
                attackers = attackers & !self.board.kings();
                if attackers.any() {
                    worth -= (value(moved) - cheapest(self.board, attackers)).max(0);
                }
            } else {
                worth -= value(moved);
            }
        }
        worth
    }

    /// Centipawns for sensible development early and for activity late.
    fn shape(&self, candidate: Move) -> i32 {
        let (from, to) = (start(candidate), candidate.to());
        let early = self.pieces >= 12;
        let home = self.us.fold_wb(Rank::First, Rank::Eighth);
        let file = to.file() as i32;
        let central = file.min(7 - file);
        let rank = self.us.fold_wb(to.rank() as i32, 7 - to.rank() as i32);
        let edge = file == 0 || file == 7;
        match candidate.role() {
            Role::King if candidate.is_castle() => 75,
            Role::King if early => -90,
            Role::King => 4 * rank.min(4) + 3 * central,
            Role::Pawn if early => match (file, rank) {
                (3 | 4, 3) => 32,
                (3 | 4, _) => 20,
                (2, 3) => 12,
                (2, 2) => 10,
                (1 | 6, 2) => 6,
                (0 | 7, 2) => 4,
                (5, _) => -18,
                (1 | 6, _) => -14,
                _ => -8,
            },
            Role::Pawn => 6 * rank,
            Role::Knight if edge => -20,
            Role::Knight | Role::Bishop if early && from.rank() == home => 34 + 2 * rank,
            Role::Knight | Role::Bishop if early => rank,
            Role::Knight | Role::Bishop => 4 + 2 * rank,
            Role::Rook if early && edge => -25,
            Role::Rook if early => -4 + 2 * central,
            Role::Rook => 8,
            Role::Queen if early => -22,
            Role::Queen => 6,
        }
    }
}

/// Value of the cheapest of some pieces.
fn cheapest(board: &Board, squares: Bitboard) -> i32 {
    for role in [Role::Pawn, Role::Knight, Role::Bishop, Role::Rook, Role::Queen] {
        if (board.by_role(role) & squares).any() {
            return value(role);
        }
    }
    value(Role::King)
}
