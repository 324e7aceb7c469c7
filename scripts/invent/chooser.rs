//! A move for players without a book: looks one half-move ahead at captures, pieces left hanging
//! and development, with noise on top. Cheap, and good enough that nobody drops a queen every move.

use shakmaty::{Bitboard, Board, Chess, Color, Move, MoveList, Position, Rank, Role, Square};

use crate::dice::Dice;

/// How carefully a player chooses.
pub struct Care {
    /// Centipawns of noise.
    pub noise: f64,
    /// Whether the best moves are checked for pieces they leave hanging.
    pub looks_twice: bool,
    /// The player's own last move, which is not taken back without a reason.
    pub last: Option<Move>,
}

/// The best few moves are looked at twice.
const FINALISTS: usize = 4;

#[derive(Clone, Copy)]
struct Candidate {
    chosen: Move,
    /// Gains, shape and noise.
    bright: f64,
    /// The same less what is lost on the target square, plus a threatened piece saved.
    sober: f64,
}

/// Chooses among `moves` those not in `banned`.
pub fn choose(
    position: &Chess,
    moves: &MoveList,
    banned: &[Move],
    care: &Care,
    dice: &mut Dice,
) -> Option<Move> {
    let view = View::new(position.board(), position.turn());
    let mut best: [Option<Candidate>; FINALISTS] = [None; FINALISTS];
    for &chosen in moves {
        if banned.contains(&chosen) {
            continue;
        }
        let mut bright =
            f64::from(view.gain(chosen) + view.shape(chosen)) + care.noise * dice.bell();
        if care.last.is_some_and(|last| takes_back(chosen, last)) {
            bright -= 60.0;
        }
        // Most moves are not among the best even if they lose nothing, which is quickly known.
        let least = if care.looks_twice { best[FINALISTS - 1] } else { best[0] };
        let most = bright + f64::from(view.saved(chosen));
        if least.is_some_and(|held| most <= held.sober) {
            continue;
        }
        let mut entrant =
            Some(Candidate { chosen, bright, sober: bright + f64::from(view.safety(chosen)) });
        for place in &mut best {
            if place.is_none_or(|held| entrant.is_some_and(|new| new.sober > held.sober)) {
                std::mem::swap(place, &mut entrant);
            }
            if entrant.is_none() {
                break;
            }
        }
    }
    if !care.looks_twice {
        return best[0].map(|candidate| candidate.chosen);
    }
    let after = |candidate: &Candidate| {
        let mut next = position.clone();
        next.play_unchecked(candidate.chosen);
        candidate.bright - f64::from(hanging(next.board(), position.turn()))
    };
    let scored = best.iter().flatten().map(|candidate| (after(candidate), candidate.chosen));
    scored.max_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, chosen)| chosen)
}

fn takes_back(chosen: Move, last: Move) -> bool {
    last.from() == Some(chosen.to()) && last.to() == start(chosen)
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
    /// Own pieces that would be lost if they stayed.
    threatened: Bitboard,
    pieces: usize,
}

impl View<'_> {
    fn new(board: &Board, us: Color) -> View<'_> {
        let own = board.by_color(us) & !board.pawns() & !board.kings();
        View {
            board,
            us,
            threatened: own.into_iter().filter(|&square| lost(board, square, us) > 0).collect(),
            pieces: (board.occupied() & !board.pawns()).count(),
        }
    }

    /// Centipawns won at once.
    fn gain(&self, chosen: Move) -> i32 {
        chosen.capture().map_or(0, value) + chosen.promotion().map_or(0, |role| value(role) - 100)
    }

    /// Centipawns of a threatened piece that gets away, the most that [`View::safety`] can be.
    fn saved(&self, chosen: Move) -> i32 {
        let is_saved = !chosen.is_castle() && self.threatened.contains(start(chosen));
        if is_saved { value(chosen.role()) * 9 / 10 } else { 0 }
    }

    /// Centipawns lost on the target square, against a threatened piece that gets away.
    fn safety(&self, chosen: Move) -> i32 {
        let (from, to, saved) = (start(chosen), chosen.to(), self.saved(chosen));
        if chosen.is_castle() {
            return saved;
        }
        let occupied = self.board.occupied().without(from);
        let attackers = self.board.attacks_to(to, !self.us, occupied);
        let moved = chosen.promotion().unwrap_or(chosen.role());
        if attackers.is_empty() || moved == Role::King {
            return saved;
        }
        let defended = self.board.attacks_to(to, self.us, occupied).without(from).any();
        saved - exchange(self.board, attackers, moved, defended)
    }

    /// Centipawns for sensible development early and for activity late.
    fn shape(&self, chosen: Move) -> i32 {
        let (from, to) = (start(chosen), chosen.to());
        let file = to.file() as i32;
        let central = file.min(7 - file);
        let rank = self.us.fold_wb(to.rank() as i32, 7 - to.rank() as i32);
        if self.pieces < 12 {
            return match chosen.role() {
                Role::King if chosen.is_castle() => 20,
                Role::King => 4 * rank.min(4) + 3 * central,
                Role::Pawn => 6 * rank,
                Role::Knight if central == 0 => -20,
                Role::Knight | Role::Bishop => 4 + 2 * rank.min(4),
                Role::Rook => 8,
                Role::Queen => 4,
            };
        }
        let developed = from.rank() != self.us.fold_wb(Rank::First, Rank::Eighth);
        match chosen.role() {
            Role::King if chosen.is_castle() => 90,
            Role::King => -95,
            Role::Pawn => match (file, rank) {
                (3 | 4, 3) => 40,
                (3 | 4, _) => 24,
                (2, 2 | 3) => 14,
                (0 | 1 | 6 | 7, 2) => 8,
                (5, _) => -24,
                (6, _) => -30,
                _ => -16,
            },
            Role::Knight | Role::Bishop if rank == 0 => -55,
            Role::Knight | Role::Bishop if developed => -26 + 4 * central + 2 * rank.min(4),
            Role::Knight => match (file, rank) {
                (2 | 5, 2) => 46,
                (0 | 7, _) => -26,
                _ => 14,
            },
            Role::Bishop => match (file, rank) {
                (3 | 4, 2) if self.blocks_pawn(to) => -35,
                (0 | 7, _) => -20,
                (_, 1) => 26,
                _ => 36,
            },
            Role::Rook if central == 0 => -35,
            Role::Rook => -8 + 3 * central,
            Role::Queen => -34,
        }
    }

    /// Whether an own centre pawn at home stands right behind `square`.
    fn blocks_pawn(&self, square: Square) -> bool {
        let behind = square.offset(self.us.fold_wb(-8, 8));
        behind.is_some_and(|behind| {
            (self.board.pawns() & self.board.by_color(self.us)).contains(behind)
        })
    }
}

/// The most valuable loss among the pieces of `side` when the other side is to move.
fn hanging(board: &Board, side: Color) -> i32 {
    let own = board.by_color(side) & !board.kings();
    own.into_iter().map(|square| lost(board, square, side)).max().unwrap_or(0)
}

/// Centipawns that the piece of `side` on `square` would cost if it were taken.
fn lost(board: &Board, square: Square, side: Color) -> i32 {
    let occupied = board.occupied();
    let attackers = board.attacks_to(square, !side, occupied);
    if attackers.is_empty() {
        return 0;
    }
    let role = board.role_at(square).expect("the square is occupied");
    let defended = board.attacks_to(square, side, occupied).any();
    exchange(board, attackers, role, defended)
}

/// Loss of a piece that `attackers` can take, if it is taken once and taken back if `defended`.
fn exchange(board: &Board, attackers: Bitboard, role: Role, defended: bool) -> i32 {
    if !defended {
        return value(role);
    }
    let attackers = attackers & !board.kings();
    if attackers.is_empty() {
        return 0;
    }
    (value(role) - cheapest(board, attackers)).max(0)
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
