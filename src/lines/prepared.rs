//! A file of prepared lines: all its games with their variations, every position once.

use shakmaty::{Chess, Color, Move, Position};

use super::Line;
use super::limits::MOST_PREPARED;
use super::pgn::{GameText, Games};
use super::text_error::{GameError, GameReason, TextError, TextPlace};
use super::tokens::{Extent, Tokens};
use super::tree::{BranchId, Tree};
use crate::terms::{Key, KeyMap};

/// Prepared lines merged by position: transpositions meet, within a game and between games.
///
/// Places number the positions in the order in which the text first comes to them;
/// [`Prepared::START`] is the initial one.
#[derive(Clone, Debug)]
pub struct Prepared {
    positions: Vec<PreparedPosition>,
    places: KeyMap<usize>,
    games: usize,
    lines: usize,
}

/// A position of the file.
#[derive(Clone, Debug)]
pub struct PreparedPosition {
    /// The board as the text first came to it.
    pub board: Chess,
    /// Its key.
    pub key: Key,
    /// Half-moves to it on the way on which the text first came there.
    pub ply: u16,
    /// The moves that the file has here, in the order of the text; none where every line ends.
    pub moves: Vec<PreparedMove>,
    /// The place before it and the move there, on that first way; `None` for the start.
    from: Option<(usize, Move)>,
}

/// A move of the file.
#[derive(Clone, Copy, Debug)]
pub struct PreparedMove {
    /// The move.
    pub mv: Move,
    /// The place of the position after it.
    pub to: usize,
    /// Where the move first ends in the text, in bytes.
    pub(super) end: usize,
}

/// The tag that names the student's colour.
const STUDENT: &str = "Student";

impl Prepared {
    /// The place of the initial position.
    pub const START: usize = 0;

    /// Reads every game of a PGN text. All begin in the initial position.
    ///
    /// # Errors
    ///
    /// The first game that cannot be read, that begins elsewhere or with which there are too many
    /// lines, or a text without a game.
    pub fn read(pgn: &str) -> Result<Prepared, GameError> {
        Prepared::read_but(None, pgn)
    }

    /// All games but those whose Student tag names the side `passed`.
    fn read_but(passed: Option<Color>, pgn: &str) -> Result<Prepared, GameError> {
        let board = Chess::default();
        let key = Key::of(&board);
        let start = PreparedPosition { board, key, ply: 0, moves: Vec::new(), from: None };
        let mut file = Prepared {
            positions: vec![start],
            places: KeyMap::from_iter([(key, Prepared::START)]),
            games: 0,
            lines: 0,
        };
        let mut half_moves = 0;
        let mut read = 0;
        for game in Games::of(pgn) {
            read += 1;
            let name = game.tag("Event").map(str::to_owned);
            let placed = |reason| {
                let place = TextPlace::Game { number: read, name: name.clone() };
                TextError { place, reason }
            };
            let side = game.side(STUDENT).map_err(placed)?;
            if side.is_some() && side == passed {
                continue;
            }
            file.games += 1;
            let tree = read_game(&game, &mut half_moves).map_err(placed)?;
            file.add(&tree, game.start);
        }
        match read {
            0 => Err(TextError { place: TextPlace::Whole, reason: GameReason::NoGame }),
            _ => Ok(file),
        }
    }

    /// The same, for a side that must have a move to play. Games whose Student tag names the other
    /// side are passed over.
    ///
    /// # Errors
    ///
    /// As those of [`Prepared::read`], or a text without a move of that side.
    pub fn read_for(side: Color, pgn: &str) -> Result<Prepared, GameError> {
        let file = Prepared::read_but(Some(side.other()), pgn)?;
        match file.moves_by(side).0 {
            0 => Err(TextError { place: TextPlace::Whole, reason: GameReason::NoMovesBy(side) }),
            _ => Ok(file),
        }
    }

    /// Adds the moves of a game whose movetext begins at `start`.
    fn add(&mut self, tree: &Tree, start: usize) {
        let mut place_of: Vec<(BranchId, usize)> = vec![(BranchId::ROOT, Prepared::START)];
        for id in tree.moves() {
            let (parent, board) = (tree.parent(id), tree.position(id));
            let before = place_of.binary_search_by_key(&parent, |(id, _)| *id);
            let before = place_of[before.expect("a parent stands before its children")].1;
            let mv = tree.played(id).expect("only the root plays nothing");
            let key = Key::of(board);
            let to = *self.places.entry(key).or_insert_with(|| {
                self.positions.push(PreparedPosition {
                    board: board.clone(),
                    key,
                    ply: self.positions[before].ply.saturating_add(1),
                    moves: Vec::new(),
                    from: Some((before, mv)),
                });
                self.positions.len() - 1
            });
            place_of.push((id, to));
            self.lines += usize::from(tree.children(id).is_empty());
            let moves = &mut self.positions[before].moves;
            if moves.iter().all(|known| known.to != to || known.mv != mv) {
                moves.push(PreparedMove { mv, to, end: start + tree.end(id) });
            }
        }
    }

    /// The positions by place.
    pub fn positions(&self) -> &[PreparedPosition] {
        &self.positions
    }

    /// The place of a position, if the file comes to it.
    pub fn place(&self, key: Key) -> Option<usize> {
        self.places.get(&key).copied()
    }

    /// Games of the text that were taken.
    pub fn games(&self) -> usize {
        self.games
    }

    /// Lines in the text: variations and main lines, each to its end.
    pub fn lines(&self) -> usize {
        self.lines
    }

    /// How many different moves of a side the file has, and in how many positions it has several.
    pub fn moves_by(&self, side: Color) -> (usize, usize) {
        let positions = self.positions.iter().filter(|position| position.board.turn() == side);
        positions.fold((0, 0), |(moves, several), position| {
            (moves + position.moves.len(), several + usize::from(position.moves.len() > 1))
        })
    }

    /// The place before one on the way on which the text first comes there; `None` for the start.
    pub fn parent(&self, place: usize) -> Option<usize> {
        self.positions[place].from.map(|(before, _)| before)
    }

    /// The moves on that way.
    pub fn line_to(&self, place: usize) -> Line {
        let mut moves = Vec::new();
        let mut at = place;
        while let Some((before, mv)) = self.positions[at].from {
            moves.push(mv);
            at = before;
        }
        let mut line = Line::default();
        moves.into_iter().rev().for_each(|mv| line.play(mv));
        line
    }
}

/// A game with its variations, behind games whose lines have so many half-moves together.
fn read_game(game: &GameText<'_>, half_moves: &mut usize) -> Result<Tree, GameReason> {
    game.check_start()?;
    let words = Tokens::new(game.movetext, 0, Extent::OneGame);
    let tree = Tree::read(words).map_err(GameReason::Line)?;
    for end in tree.moves().filter(|&id| tree.children(id).is_empty()) {
        *half_moves += tree.depth(end);
        if *half_moves > MOST_PREPARED {
            return Err(GameReason::TooLongLines);
        }
    }
    Ok(tree)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(pgn: &str) -> Prepared {
        Prepared::read(pgn).expect("a file of lines")
    }

    #[test]
    fn games_and_transpositions_meet_in_their_positions() {
        let file = read(
            "1. e4 e6 2. d4 d5 *\n\n[Event \"b\"]\n\n1. d4 e6 (1... d5 2. c4) 2. e4 d5 3. Nc3 *",
        );
        assert_eq!((file.games(), file.lines()), (2, 3));
        // e4, e6, d4, d5; d4, e6, d5, c4; Nc3: two orders meet after four half-moves.
        assert_eq!(file.positions().len(), 1 + 4 + 4 + 1);
        let met = file.place(Key::of("e4 e6 d4".parse::<Line>().expect("a line").end()));
        assert_eq!(file.line_to(met.expect("known")).to_string(), "1. e4 e6 2. d4");
        assert_eq!(file.moves_by(Color::White), (2 + 1 + 1 + 1 + 1, 1));
    }

    #[test]
    fn games_for_the_other_colour_are_passed_over_if_they_are_tagged() {
        let text = "[Student \"white\"]\n\n1. e4 e5 2. Nf3 *\n\n[Student \"Black\"]\n\n1. e4 e5 2. Bc4 Nf6 *\n\n1. d4 *\n";
        let moves = |side| {
            let file = Prepared::read_for(side, text).expect("lines");
            (file.games(), file.moves_by(Color::White).0, file.moves_by(Color::Black).0)
        };
        assert_eq!((moves(Color::White), moves(Color::Black)), ((2, 3, 1), (2, 3, 2)));
        assert_eq!(read(text).games(), 3);
        let refused =
            |side, text: &str| Prepared::read_for(side, text).expect_err("refused").to_string();
        let error = refused(Color::White, "[Student \"Black\"]\n\n1. e4 e5 *\n");
        assert!(error.starts_with("no move by white in it"), "{error}");
        let error = refused(Color::White, &text.replace("Black", "Fern"));
        assert!(error.starts_with("game 2: the Student tag says 'Fern'"), "{error}");
    }

    #[test]
    fn a_move_is_kept_once_and_in_the_order_of_the_text() {
        let file = read("1. e4 e5 (1... c5) (1... e5 2. Nf3) 2. Nf3 (2. Bc4) *");
        let replies = &file.positions()[1].moves;
        let sans: Vec<String> = replies.iter().map(|reply| reply.mv.to_string()).collect();
        assert_eq!(
            (replies.len(), file.positions()[replies[0].to].moves.len()),
            (2, 2),
            "{sans:?}"
        );
    }

    #[test]
    fn what_cannot_be_read_is_placed() {
        let refused = |pgn: &str| Prepared::read(pgn).expect_err("refused").to_string();
        assert!(refused("1. e4 e5 *\n\n1. e4 e4 *").starts_with("game 2: no legal move 'e4'"));
        let named = refused("1. e4 *\n\n[Event \"Mine\"]\n\n1. e5 *\n");
        assert!(named.starts_with("game 2 (Mine): no legal move 'e5'"), "{named}");
        assert!(refused("[FEN \"4k3/8/8/8/8/8/8/4K2R w K - 0 1\"]\n\n1. O-O *").contains("FEN"));
        assert!(refused("no moves here\n").starts_with("no game in it: "));
        let error = Prepared::read_for(Color::Black, "1. e4 *").expect_err("refused");
        assert!(error.in_file("a.pgn").starts_with("a.pgn: no move by black in it: "), "{error}");
    }

    #[test]
    fn more_than_a_person_prepares_is_refused_at_once() {
        let comb = |teeth: usize| -> String {
            let there_and_back = "Nf3 Nf6 Ng1 Ng8".split(' ').cycle().take(390);
            let tooth = |mv| format!("{mv} ({}) ", if mv == "Nf3" { "Nc3" } else { "a5" });
            let words: String = there_and_back
                .enumerate()
                .map(|(ply, mv)| if ply % 4 < 2 { tooth(mv) } else { format!("{mv} ") })
                .collect();
            format!("{words}*\n\n").repeat(teeth)
        };
        assert!(read(&comb(1)).lines() > 100);
        let refused = |pgn: &str| Prepared::read(pgn).expect_err("too much").to_string();
        let error = refused(&comb(40));
        assert!(error.contains("more than 400000 half-moves together"), "{error}");
        let error = refused(&"Nf3 (Nc3) Nf6 Ng1 Ng8 ".repeat(4_000));
        assert!(error.contains("the limit is 400 half-moves a line"), "{error}");
        assert_eq!(read(&format!("e4 {}", "(d4 (d3 d5) d6) ".repeat(100_000))).lines(), 3);
    }
}
