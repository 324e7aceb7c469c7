//! Looks for games that pass through given positions, without playing more of a game than it must.

use shakmaty::{Bitboard, Chess, Color, Rank, Role};

use super::IllegalMove;
use super::board::KeyedBoard;
use super::cache::SanWord;
use super::replay::{play, without_check_sign};
use crate::games::Movetext;
use crate::terms::Key;

/// Positions that must follow one on another: a trap position, or that and the one after the slip,
/// or both and the one after the refutation. Move order before them does not matter.
#[derive(Clone, Debug)]
pub struct Trail {
    keys: Vec<Key>,
    shape: Shape,
}

impl Trail {
    /// The trail through these positions, each one move behind the one before.
    ///
    /// # Panics
    ///
    /// Without a position.
    pub fn new<'p>(positions: impl IntoIterator<Item = &'p Chess>) -> Trail {
        let positions: Vec<&Chess> = positions.into_iter().collect();
        let last = positions.last().expect("a trail has a position");
        let shape = Shape::of(&KeyedBoard::from(*last));
        Trail { keys: positions.iter().map(|position| Key::of(position)).collect(), shape }
    }
}

/// What only ever shrinks during a game, so that a position that has more of it cannot come back.
#[derive(Clone, Copy, Debug)]
struct Shape {
    /// Pawns that have not moved.
    at_home: Bitboard,
    castling_rights: Bitboard,
    /// White's and Black's pawns.
    pawns: [usize; 2],
    /// White's and Black's pieces, pawns among them.
    pieces: [usize; 2],
}

impl Shape {
    fn of(board: &KeyedBoard) -> Shape {
        let pawns = board.all(Role::Pawn);
        let home = |color: Color| {
            let rank = color.fold_wb(Rank::Second, Rank::Seventh);
            pawns & board.side(color) & Bitboard::from_rank(rank)
        };
        let count = |of: Bitboard| Color::ALL.map(|color| (of & board.side(color)).count());
        Shape {
            at_home: home(Color::White) | home(Color::Black),
            castling_rights: board.castling(),
            pawns: count(pawns),
            pieces: count(board.occupied()),
        }
    }

    /// Whether a game in a position of this shape may still come to one of the other.
    fn may_become(&self, other: &Shape) -> bool {
        let enough = |ours: [usize; 2], theirs: [usize; 2]| {
            ours.into_iter().zip(theirs).all(|(ours, theirs)| ours >= theirs)
        };
        (other.at_home & !self.at_home).is_empty()
            && (other.castling_rights & !self.castling_rights).is_empty()
            && enough(self.pawns, other.pawns)
            && enough(self.pieces, other.pieces)
    }
}

/// Follows games as long as one of its trails may still be met.
///
/// Positions from which one may are kept in a tree, each with the moves met there: most games leave
/// what is wanted after a move or two, and are then told by a look-up for each.
#[derive(Clone, Debug)]
pub struct Chase {
    trails: Vec<Trail>,
    half_moves: usize,
    reached: Vec<Reached>,
    /// Positions of the game so far.
    keys: Vec<Key>,
}

#[derive(Clone, Debug)]
struct Reached {
    board: KeyedBoard,
    children: Vec<(SanWord, Child)>,
}

#[derive(Clone, Copy, Debug)]
enum Child {
    /// The place of the position among those kept.
    Kept(usize),
    /// No trail can be met any more.
    Lost,
}

/// Positions kept; behind these a game is played on a board of its own.
const MOST_KEPT: usize = 1 << 14;

impl Chase {
    /// Looks for any of the trails within the first half-moves of a game.
    pub fn new(trails: Vec<Trail>, half_moves: usize) -> Chase {
        let start = Reached { board: KeyedBoard::from(&Chess::default()), children: Vec::new() };
        Chase { trails, half_moves, reached: vec![start], keys: Vec::new() }
    }

    /// Whether the game meets a trail.
    ///
    /// # Errors
    ///
    /// If it does, but a move within the first half-moves is not legal; or if such a move comes
    /// while it still may.
    pub fn meets(&mut self, movetext: &mut Movetext<'_>) -> Result<bool, IllegalMove> {
        self.keys.clear();
        let mut at = 0;
        self.keys.push(self.reached[0].board.key());
        for ply in 0..self.half_moves {
            if self.is_met() {
                return self.play_on(self.reached[at].board.clone(), ply, movetext);
            }
            let Some(played) = movetext.next_move() else { return Ok(false) };
            let san = without_check_sign(played.san);
            let word = SanWord::new(san);
            let known = word.and_then(|word| self.child(at, word));
            let child = match known {
                Some(child) => child,
                None => {
                    let mut board = self.reached[at].board.clone();
                    play(&mut board, san).ok_or(IllegalMove { ply })?;
                    let child = if !self.may_meet(&board) {
                        Child::Lost
                    } else if self.reached.len() < MOST_KEPT && word.is_some() {
                        self.reached.push(Reached { board, children: Vec::new() });
                        Child::Kept(self.reached.len() - 1)
                    } else {
                        self.keys.push(board.key());
                        return self.play_on(board, ply + 1, movetext);
                    };
                    if let Some(word) = word {
                        self.reached[at].children.push((word, child));
                    }
                    child
                }
            };
            match child {
                Child::Lost => return Ok(false),
                Child::Kept(next) => at = next,
            }
            self.keys.push(self.reached[at].board.key());
        }
        Ok(self.is_met())
    }

    fn child(&self, at: usize, word: SanWord) -> Option<Child> {
        let children = &self.reached[at].children;
        children.iter().find(|(known, _)| *known == word).map(|(_, child)| *child)
    }

    /// Whether the last positions of the game are a trail.
    fn is_met(&self) -> bool {
        self.trails.iter().any(|trail| self.keys.ends_with(&trail.keys))
    }

    fn may_meet(&self, board: &KeyedBoard) -> bool {
        let shape = Shape::of(board);
        self.trails.iter().any(|trail| shape.may_become(&trail.shape))
    }

    /// Plays the rest on a board; `ply` half-moves are played.
    fn play_on(
        &mut self,
        mut board: KeyedBoard,
        ply: usize,
        movetext: &mut Movetext<'_>,
    ) -> Result<bool, IllegalMove> {
        let mut met = self.is_met();
        for ply in ply..self.half_moves {
            if !met && !self.may_meet(&board) {
                return Ok(false);
            }
            let Some(played) = movetext.next_move() else { break };
            let san = without_check_sign(played.san);
            play(&mut board, san).ok_or(IllegalMove { ply })?;
            if !met {
                self.keys.push(board.key());
                met = self.is_met();
            }
        }
        Ok(met)
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use shakmaty::Position;
    use shakmaty::san::{San, SanPlus};

    use super::*;
    use crate::plies::Replayer;
    use crate::terms::TimeControl;

    fn positions(line: &str) -> Vec<Chess> {
        let mut positions = vec![Chess::default()];
        for word in line.split_whitespace() {
            let mut board: Chess = positions[positions.len() - 1].clone();
            let san: San = word.parse().expect("a move");
            board.play_unchecked(san.to_move(&board).expect("a legal move"));
            positions.push(board);
        }
        positions
    }

    /// The trail of the last `count` positions of a line.
    fn trail(line: &str, count: usize) -> Trail {
        let positions = positions(line);
        Trail::new(&positions[positions.len() - count..])
    }

    fn meets(trails: &[Trail], half_moves: usize, game: &str) -> Result<bool, IllegalMove> {
        let mut chase = Chase::new(trails.to_vec(), half_moves);
        let first = chase.meets(&mut Movetext::new(game.as_bytes()));
        // The second time the tree is known.
        assert_eq!(chase.meets(&mut Movetext::new(game.as_bytes())), first);
        first
    }

    #[test]
    fn move_orders_and_the_end_of_a_game_do_not_matter() {
        let target = [trail("e4 e5 Nf3 Nc6", 1)];
        assert_eq!(meets(&target, 30, "1. Nf3 Nc6 2. e4 e5 3. d4 *"), Ok(true));
        assert_eq!(meets(&target, 30, "1. e4 e5 2. Nf3 Nc6 *"), Ok(true));
        assert_eq!(meets(&target, 30, "1. e4 e5 2. Nc3 Nc6 3. Nf3 Nb8 4. Nb1 Nc6 *"), Ok(true));
        assert_eq!(meets(&target, 3, "1. e4 e5 2. Nf3 Nc6 *"), Ok(false));
        assert_eq!(meets(&target, 30, "1. d4 e5 2. Nf3 Nc6 *"), Ok(false));
    }

    #[test]
    fn the_positions_of_a_trail_follow_one_on_another() {
        let slip = [trail("e4 e5 Nf3 f6 Nxe5 fxe5", 2)];
        let refuted = [trail("e4 e5 Nf3 f6 Nxe5 fxe5 Qh5", 3)];
        let game = "1. Nf3 f6 2. e4 e5 3. Nxe5 fxe5 4. Qh5+ *";
        assert_eq!((meets(&slip, 30, game), meets(&refuted, 30, game)), (Ok(true), Ok(true)));
        let other = "1. e4 e5 2. Nf3 f6 3. Nxe5 fxe5 4. d4 *";
        assert_eq!((meets(&slip, 30, other), meets(&refuted, 30, other)), (Ok(true), Ok(false)));
        let avoided = "1. e4 e5 2. Nf3 f6 3. Nxe5 Qe7 *";
        assert_eq!(meets(&slip, 30, avoided), Ok(false));
    }

    #[test]
    fn an_illegal_move_among_the_counted_ones_spoils_a_game_that_meets() {
        let target = [trail("e4 e5", 1)];
        assert_eq!(meets(&target, 30, "1. e4 e5 2. Ke3 *"), Err(IllegalMove { ply: 2 }));
        assert_eq!(meets(&target, 2, "1. e4 e5 2. Ke3 *"), Ok(true));
        assert_eq!(meets(&target, 30, "1. d4 Ke3 *"), Ok(false));
    }

    proptest! {
        /// The judge is the plain replayer, which leaves out nothing. Positions are drawn from
        /// other games of few different moves, so that they meet often.
        #[test]
        fn nothing_is_missed_by_leaving_early(
            a in prop::collection::vec(0..3usize, 1..12),
            b in prop::collection::vec(0..3usize, 1..12),
        ) {
            let walk = |choices: &[usize]| {
                let (mut board, mut words) = (Chess::default(), Vec::new());
                for choice in choices {
                    let legal = board.legal_moves();
                    let Some(&mv) = legal.get(choice * (legal.len() - 1) / 2) else { break };
                    words.push(SanPlus::from_move_and_play_unchecked(&mut board, mv).to_string());
                    if board.is_game_over() { break }
                }
                (words.join(" "), board)
            };
            let (game, end) = walk(&a);
            let (_, target) = walk(&b);
            for target in [target, end] {
                let key = Key::of(&target);
                let mut replayer = Replayer::new();
                let mut movetext = Movetext::new(game.as_bytes());
                let plies = replayer.play(&mut movetext, 30, TimeControl::UNKNOWN).expect("legal");
                let (_, last) = walk(&a);
                let passes = plies.iter().any(|ply| ply.key == key) || Key::of(&last) == key;
                prop_assert_eq!(meets(&[Trail::new([&target])], 30, &game), Ok(passes));
            }
        }
    }
}
