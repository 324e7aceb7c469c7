//! All lines of a PGN text, such as a repertoire: games with their variations.

use thiserror::Error;

use super::limits::{MOST_PREPARED, Shown};
use super::pgn::{GameText, Games};
use super::tokens::{Extent, Tokens};
use super::trap_error::GameSource;
use super::tree::Tree;
use super::{Line, LineError};
use crate::terms::Key;

/// Why a text gives no lines, and which game it is.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[error("{game}: {reason}")]
pub struct LinesError {
    /// Where the trouble is.
    pub game: GameSource,
    /// What it is.
    pub reason: LinesReason,
}

/// What is wrong with a text or a game of it.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[non_exhaustive]
pub enum LinesReason {
    /// A text without a game.
    #[error("there is no game in it")]
    NoGame,
    /// A word of its movetext.
    #[error(transparent)]
    Line(LineError),
    /// A tag that cannot be read.
    #[error("the tag {} cannot be read", Shown(.0))]
    Tag(String),
    /// It begins elsewhere than in the initial position.
    #[error("it begins with a FEN; lines begin in the initial position")]
    NotFromStart,
    /// With it the lines have more half-moves together than a text may have.
    #[error(
        "with it the lines have more than {MOST_PREPARED} half-moves together, each counted from its \
         first move on: part the file into several"
    )]
    TooMany,
}

impl LinesError {
    pub(super) fn no_game() -> LinesError {
        LinesError { game: GameSource::Text, reason: LinesReason::NoGame }
    }
}

impl Line {
    /// Reads every line of a PGN text, main lines and variations, each from the initial position to its end.
    ///
    /// # Errors
    ///
    /// The first game that cannot be read, or a text without a game.
    pub fn read_all(pgn: &str) -> Result<Vec<Line>, LinesError> {
        let mut lines = Vec::new();
        let (mut games, mut half_moves) = (0, 0);
        for game in Games::of(pgn) {
            games += 1;
            let name = game.tag("Event").map(str::to_owned);
            let game_source = GameSource::Game { number: games, name };
            let located = |reason| LinesError { game: game_source, reason };
            let tree = read_tree(&game, &mut half_moves).map_err(located)?;
            let ends = tree.moves().filter(|&id| tree.children(id).is_empty());
            lines.extend(ends.map(|id| tree.line_to(id)));
        }
        if games == 0 { Err(LinesError::no_game()) } else { Ok(lines) }
    }
}

/// A game from the initial position with its variations, behind games whose lines have so many half-moves together.
pub(super) fn read_tree(game: &GameText<'_>, half_moves: &mut usize) -> Result<Tree, LinesReason> {
    if let Some(tag) = game.broken_tag {
        return Err(LinesReason::Tag(tag.to_owned()));
    }
    let initial = Key::of(Line::default().start());
    let starts_here = |fen| Line::from_fen(fen, "").is_ok_and(|l| Key::of(l.start()) == initial);
    if !game.tag("FEN").is_none_or(starts_here) {
        return Err(LinesReason::NotFromStart);
    }
    let words = Tokens::new(game.movetext, 0, Extent::OneGame);
    let tree = Tree::read(words).map_err(LinesReason::Line)?;
    for end in tree.moves().filter(|&id| tree.children(id).is_empty()) {
        *half_moves += tree.depth(end);
        if *half_moves > MOST_PREPARED {
            return Err(LinesReason::TooMany);
        }
    }
    Ok(tree)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_variation_is_a_line_of_its_own() {
        let text = "[Event \"White\"]\n\n1. e4 e5 (1... c5 2. Nf3) 2. Nc3 *\n\n1. d4 d5 *\n";
        let lines = Line::read_all(text).expect("lines");
        let shown: Vec<String> = lines.iter().map(Line::to_string).collect();
        assert_eq!(shown, ["1. e4 c5 2. Nf3", "1. e4 e5 2. Nc3", "1. d4 d5"]);
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
        assert!(Line::read_all(&comb(1)).expect("some lines").len() > 100);
        let error = Line::read_all(&comb(40)).expect_err("too many").to_string();
        assert!(error.contains("more than 400000 half-moves together"), "{error}");
        let deep = "Nf3 (Nc3) Nf6 Ng1 Ng8 ".repeat(4_000);
        let error = Line::read_all(&deep).expect_err("too long").to_string();
        assert!(error.contains("the limit is 400 half-moves a line"), "{error}");
        let wide = format!("e4 {}", "(d4 (d3 d5) d6) ".repeat(100_000));
        assert_eq!(Line::read_all(&wide).map(|lines| lines.len()), Ok(3));
    }

    #[test]
    fn what_cannot_be_read_is_placed() {
        let text = "1. e4 *\n\n[Event \"Mine\"]\n\n1. e5 *\n";
        let error = Line::read_all(text).expect_err("illegal").to_string();
        assert!(error.starts_with("game 2 (Mine): "), "{error}");
        let empty = Line::read_all(" \n").expect_err("empty").to_string();
        assert_eq!(empty, "the text: there is no game in it");
    }
}
