//! Move numbers: they may be missing, but one that is there is right.
//!
//! By the PGN standard (1994.03.12), section 8.2.2, a number has any count of full stops behind it
//! and may come before the moves of either side. A wrong one is a sign of a move that was left out
//! or written twice, which must not pass unseen.

use shakmaty::{Chess, Color, Position};

use super::line_error::{LineError, NumberError, Place};
use super::tokens::Token;

/// Follows the words of a line and looks at its numbers.
#[derive(Default)]
pub(super) struct Numbers<'a> {
    last: Option<Token<'a>>,
}

impl<'a> Numbers<'a> {
    /// Takes the next word, which is at `position`; `None` is the end. `line` gives the
    /// moves before.
    pub(super) fn check(
        &mut self,
        word: Option<Token<'a>>,
        position: &Chess,
        line: impl FnOnce() -> String,
    ) -> Result<(), LineError> {
        let before = std::mem::replace(&mut self.last, word);
        let wrong = match (before, word) {
            // What is left of a line that breaks off behind its number is let pass.
            (Some(Token::Number { dots: 1.., .. }), Some(Token::Close) | None) => None,
            (_, Some(Token::Unterminated)) => None,
            (Some(Token::Number { written, .. }), next)
                if !matches!(next, Some(Token::Move(_))) =>
            {
                Some((written, true))
            }
            (_, Some(Token::Number { written, dots })) => {
                (!is_right(written, dots, position)).then_some((written, false))
            }
            _ => None,
        };
        let Some((written, alone)) = wrong else { return Ok(()) };
        let (written, place) = (written.to_owned(), Place::of(position, line()));
        Err(LineError::Number(Box::new(NumberError { written, alone, place })))
    }
}

fn is_right(written: &str, dots: usize, position: &Chess) -> bool {
    let digits = written.trim_end_matches(['.', '\u{2026}']);
    let of_black = dots >= 3;
    digits.parse() == Ok(position.fullmoves().get())
        && !(of_black && position.turn() == Color::White)
}
