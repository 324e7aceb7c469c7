//! A line: moves one after another from a position.

use std::fmt;
use std::ops::Range;
use std::str::FromStr;
use std::sync::OnceLock;

use shakmaty::{Chess, Color, Move, Position};

use super::fen::position_of;
use super::limits::MOST_HALF_MOVES;
use super::line_error::{LineError, MoveError, Place};
use super::numbers::Numbers;
use super::spelling::{read_move, san_text};
use super::tokens::{Extent, Token, Tokens};

/// Legal moves one after another, with every position on the way. A line without moves points at
/// its start; the start is the initial position unless a FEN said otherwise.
///
/// Plies count from 0: `moves()[ply]` is played in `position(ply)`.
#[derive(Clone, Debug)]
pub struct Line {
    positions: Vec<Chess>,
    moves: Vec<Move>,
    /// The moves in SAN, from when one is first asked for: long lines are shown again and again.
    san: OnceLock<Vec<String>>,
}

impl PartialEq for Line {
    fn eq(&self, other: &Line) -> bool {
        self.positions == other.positions && self.moves == other.moves
    }
}

impl Eq for Line {}

impl Default for Line {
    fn default() -> Line {
        Line::starting_at(Chess::default())
    }
}

impl Line {
    /// The line without moves that points at `position`.
    fn starting_at(position: Chess) -> Line {
        Line { positions: vec![position], moves: Vec::new(), san: OnceLock::new() }
    }

    /// The line from the position of a FEN on.
    ///
    /// The FEN needs its first four fields; without the counters it is move 1.
    ///
    /// # Errors
    ///
    /// [`LineError::Fen`], or the first word of `moves` that is not legal.
    pub fn from_fen(fen: &str, moves: &str) -> Result<Line, LineError> {
        let reason = |reason| LineError::Fen { fen: fen.to_owned(), reason };
        let line = Line::starting_at(position_of(fen).map_err(reason)?);
        line.then_words(moves)
    }

    /// Adds the moves of a text: SAN or UCI, with the right numbers or none; marks, comments,
    /// variations and the end marker are passed over.
    fn then_words(mut self, text: &str) -> Result<Line, LineError> {
        let (mut depth, mut numbers) = (0u32, Numbers::default());
        for word in Tokens::new(text, 0, Extent::Whole) {
            if depth == 0 {
                numbers.check(Some(word), self.end(), || self.to_string())?;
            }
            match word {
                Token::Move(_) if depth == 0 && self.len() == MOST_HALF_MOVES => {
                    return Err(LineError::TooLong);
                }
                Token::Move(written) if depth == 0 => self.play_written(written)?,
                Token::Move(_) | Token::Number { .. } | Token::Mark(_) => {}
                Token::Open => depth += 1,
                Token::Close => depth = depth.checked_sub(1).ok_or(LineError::Brackets)?,
                Token::Unterminated => return Err(LineError::OpenComment),
            }
        }
        numbers.check(None, self.end(), || self.to_string())?;
        if depth == 0 { Ok(self) } else { Err(LineError::Brackets) }
    }

    /// Plays one move as written, SAN or UCI.
    ///
    /// # Errors
    ///
    /// [`LineError::Move`] if it is not legal at the end of the line, which then stays as it was.
    pub fn play_written(&mut self, written: &str) -> Result<(), LineError> {
        let mv = read_move(self.end(), written).map_err(|misread| {
            let place = Place::of(self.end(), self.to_string());
            LineError::Move(Box::new(MoveError { written: written.to_owned(), place, misread }))
        })?;
        self.play(mv);
        Ok(())
    }

    /// Plays one more move.
    ///
    /// # Panics
    ///
    /// If the move is not legal at the end of the line.
    pub fn play(&mut self, mv: Move) {
        let next = self.end().clone().play(mv).expect("the caller plays a legal move");
        self.san.take();
        self.positions.push(next);
        self.moves.push(mv);
    }

    /// The moves.
    pub fn moves(&self) -> &[Move] {
        &self.moves
    }

    /// How many half-moves the line has.
    pub fn len(&self) -> usize {
        self.moves.len()
    }

    /// Whether the line is no more than its start.
    pub fn is_empty(&self) -> bool {
        self.moves.is_empty()
    }

    /// The position before the first move.
    pub fn start(&self) -> &Chess {
        &self.positions[0]
    }

    /// The position after `ply` half-moves.
    ///
    /// # Panics
    ///
    /// If the line is shorter.
    pub fn position(&self, ply: usize) -> &Chess {
        &self.positions[ply]
    }

    /// The position after the last move.
    pub fn end(&self) -> &Chess {
        self.position(self.len())
    }

    /// The half-move at `ply` in SAN, with its check sign. Panics as [`Line::position`] does.
    pub fn san(&self, ply: usize) -> String {
        self.spelt(ply).to_owned()
    }

    /// The first `plies` half-moves as a line of their own (all, if there are no more).
    pub fn first(&self, plies: usize) -> Line {
        let plies = plies.min(self.len());
        Line {
            positions: self.positions[..=plies].to_vec(),
            moves: self.moves[..plies].to_vec(),
            san: OnceLock::new(),
        }
    }

    /// Some half-moves as SAN text with move numbers: "3. Bb5 a6", "1... e5 2. Nf3".
    ///
    /// # Panics
    ///
    /// If the line is shorter than `plies`.
    pub fn text(&self, plies: Range<usize>) -> String {
        let (first, mut text) = (plies.start, String::new());
        for ply in plies {
            if ply > first {
                text.push(' ');
            }
            let position = self.position(ply);
            match position.turn() {
                Color::White => text += &format!("{}. ", position.fullmoves()),
                Color::Black if ply == first => text += &format!("{}... ", position.fullmoves()),
                Color::Black => {}
            }
            text += self.spelt(ply);
        }
        text
    }

    fn spelt(&self, ply: usize) -> &str {
        let all = || self.positions.iter().zip(&self.moves);
        &self.san.get_or_init(|| all().map(|(position, mv)| san_text(position, *mv)).collect())[ply]
    }
}

/// The whole line as SAN text with move numbers; empty for a line without moves.
impl fmt::Display for Line {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.text(0..self.len()))
    }
}

/// The line of a text from the initial position on; the empty text is the initial position.
impl FromStr for Line {
    type Err = LineError;

    fn from_str(text: &str) -> Result<Line, LineError> {
        Line::default().then_words(text)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(text: &str) -> Line {
        text.parse().expect("a line")
    }

    fn error(text: &str) -> String {
        text.parse::<Line>().expect_err("no line").to_string()
    }

    #[test]
    fn a_line_reads_alike_in_every_spelling() {
        let expected = "1. e4 e5 2. Nf3 Nc6 3. Bb5 a6 4. O-O";
        for text in [
            "1. e4 e5 2. Nf3 Nc6 3. Bb5 a6 4. O-O",
            "e4 e5 Nf3 Nc6 Bb5 a6 0-0",
            "e2e4 e7e5 g1f3 b8c6 f1b5 a7a6 e1g1",
            "1.e4 e7e5 2.Nf3! Nc6?! 3.Bb5+ {so be it} (3. Bc4 Nd4?? x) a6 $1 4.o-o *",
        ] {
            assert_eq!(line(text).to_string(), expected, "{text}");
        }
    }

    #[test]
    fn the_empty_text_is_the_initial_position() {
        assert_eq!(line("  "), Line::default());
        assert_eq!((line("").len(), line("").to_string()), (0, String::new()));
    }

    #[test]
    fn check_signs_are_written_whether_they_were_read_or_not() {
        assert_eq!(line("f3 e5 g4 Qh4").to_string(), "1. f3 e5 2. g4 Qh4#");
        assert_eq!(line("e4 f5 Qh5").san(2), "Qh5+");
    }

    #[test]
    fn a_part_of_a_line_carries_its_numbers() {
        let line = line("e4 e5 Nf3 Nc6 Bb5 a6");
        assert_eq!(line.text(3..6), "2... Nc6 3. Bb5 a6");
        assert_eq!(line.text(2..3), "2. Nf3");
        assert_eq!(line.first(3).to_string(), "1. e4 e5 2. Nf3");
        assert_eq!(line.first(99), line);
    }

    #[test]
    fn a_line_from_a_fen_counts_on_from_its_number() {
        let fen = "rnbqkbnr/pppppppp/8/8/4P3/8/PPPP1PPP/RNBQKBNR b KQkq e3 0 1";
        let line = Line::from_fen(fen, "e5 Nf3").expect("a line");
        assert_eq!(line.to_string(), "1... e5 2. Nf3");
        assert_eq!(line.end(), self::line("e4 e5 Nf3").end());
    }

    #[test]
    fn a_fen_without_counters_is_taken_and_one_without_rights_is_not() {
        let board = "rnbqkbnr/pppppppp/8/8/8/8/PPPPPPPP/RNBQKBNR";
        assert_eq!(Line::from_fen(&format!("{board}  w KQkq -"), ""), Ok(Line::default()));
        assert_eq!(
            Line::from_fen(&format!("{board} w"), "").expect_err("no line").to_string(),
            format!(
                "no legal position in the FEN '{board} w': it has 2 of the fields board, \
                 side to move, castling rights, en passant square"
            )
        );
    }

    #[test]
    fn an_illegal_move_is_named_with_its_place_and_the_nearest_moves() {
        assert_eq!(
            error("1. e4 e5 2. Nf5"),
            "no legal move 'Nf5' at White's move 2 (half-move 3) after 1. e4 e5; \
             legal knight moves: Na3, Nc3, Ne2, Nf3, Nh3"
        );
        assert_eq!(
            error("e4 e5 Nf3 Bf3"),
            "no legal move 'Bf3' at Black's move 2 (half-move 4) after 1. e4 e5 2. Nf3; \
             legal bishop moves: Ba3, Bb4, Bc5, Bd6, Be7"
        );
    }

    #[test]
    fn an_ambiguous_move_is_named_with_its_candidates() {
        assert_eq!(
            error("d4 Nf6 Nf3 d5 c4 Nd7"),
            "'Nd7' is ambiguous at Black's move 3 (half-move 6) after 1. d4 Nf6 2. Nf3 d5 3. c4; \
             write Nbd7 or Nfd7"
        );
    }

    #[test]
    fn numbers_may_be_missing_but_not_wrong() {
        for text in
            ["1 e4 e5 2 Nf3", "1. e4 1... e5 2 . Nf3", "1.e4 1.e5 2.Nf3 2.", "e4 1\u{2026}e5 Nf3"]
        {
            assert_eq!(line(text).first(3).to_string(), "1. e4 e5 2. Nf3", "{text}");
        }
        for (text, message) in [
            (
                "1. e4 e5 7. Nf3",
                "wrong number '7.' at White's move 2 (half-move 3) after 1. e4 e5; write 2. or none",
            ),
            (
                "1. e4 2. Nf3",
                "wrong number '2.' at Black's move 1 (half-move 2) after 1. e4; write 1... or none",
            ),
            (
                "1. e4 1600",
                "wrong number '1600' at Black's move 1 (half-move 2) after 1. e4; write 1... or none",
            ),
            (
                "e4 0000 e5",
                "wrong number '0000' at Black's move 1 (half-move 2) after 1. e4; write 1... or none",
            ),
            ("1... e4", "wrong number '1...' at White's move 1 (half-move 1); write 1. or none"),
            (
                "99999999999999999999. e4",
                "wrong number '99999999999999999999.' at White's move 1 (half-move 1); write 1. or none",
            ),
            (
                "1. e4 e5 2",
                "no move follows the number '2' at White's move 2 (half-move 3) after 1. e4 e5",
            ),
            ("1. 1. e4", "no move follows the number '1.' at White's move 1 (half-move 1)"),
        ] {
            assert_eq!(error(text), message);
        }
    }

    #[test]
    fn a_line_has_its_limit_and_no_word_is_quoted_to_its_end() {
        let there_and_back = |moves| "Nf3 Nf6 Ng1 Ng8 ".repeat(moves / 4);
        assert_eq!(line(&there_and_back(MOST_HALF_MOVES)).len(), MOST_HALF_MOVES);
        let long = there_and_back(MOST_HALF_MOVES + 4);
        assert_eq!(error(&long), LineError::TooLong.to_string());
        let message = error(&format!("{} xyz", there_and_back(MOST_HALF_MOVES - 4)));
        assert!(
            message.contains("(half-move 397) after \u{2026} ") && message.len() < 500,
            "{message}"
        );
        for text in ["x".repeat(100_000), "9".repeat(100_000), "K".repeat(1_000_000)] {
            assert!(error(&text).len() < 400, "{}", error(&text));
            let fen = Line::from_fen(&text, "").expect_err("no FEN").to_string();
            assert!(fen.len() < 400, "{fen}");
        }
    }

    #[test]
    fn an_open_comment_or_bracket_is_an_error() {
        assert_eq!(error("e4 {e5 Nf3"), "a comment is not closed: '}' is missing");
        assert_eq!(error("e4 (d4 e5"), "the brackets of the variations do not match");
        assert_eq!(error("e4 ) e5"), "the brackets of the variations do not match");
    }

    #[test]
    fn a_failed_move_leaves_the_line_as_it_was() {
        let mut line = line("e4");
        assert!(line.play_written("e4").is_err());
        assert_eq!(line, self::line("e4"));
    }
}
