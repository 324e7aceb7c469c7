//! All lines of a PGN text, such as a repertoire: games with their variations.

use std::fmt;

use super::pgn::{GameText, Games};
use super::tree::Tree;
use super::words::{Extent, Words};
use super::{Line, LineError};
use crate::terms::Key;

/// Why a text gives no lines.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum LinesError {
    /// There is no game in it.
    NoGame,
    /// A game that cannot be used.
    Game {
        /// Which, from 1.
        number: usize,
        /// Its Event tag.
        name: Option<String>,
        /// What is wrong with it.
        reason: LinesReason,
    },
}

/// What is wrong with a game.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum LinesReason {
    /// A word of its movetext.
    Line(LineError),
    /// A tag that cannot be read.
    Tag(String),
    /// It begins elsewhere than in the initial position.
    NotFromStart,
}

impl fmt::Display for LinesError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let LinesError::Game { number, name, reason } = self else {
            return f.write_str("it holds no game");
        };
        write!(f, "game {number}")?;
        if let Some(name) = name {
            write!(f, " ({name})")?;
        }
        match reason {
            LinesReason::Line(error) => write!(f, ": {error}"),
            LinesReason::Tag(line) => write!(f, ": the tag {line} cannot be read"),
            LinesReason::NotFromStart => {
                f.write_str(": it begins with a FEN; lines begin in the initial position")
            }
        }
    }
}

impl std::error::Error for LinesError {}

impl Line {
    /// Reads every line of a PGN text, main lines and variations, each from the initial position to its end.
    ///
    /// # Errors
    ///
    /// The first game that cannot be read, or a text without a game.
    pub fn read_all(pgn: &str) -> Result<Vec<Line>, LinesError> {
        let mut lines = Vec::new();
        let mut games = 0;
        for game in Games::of(pgn) {
            games += 1;
            let name = game.tag("Event").map(str::to_owned);
            let located = |reason| LinesError::Game { number: games, name, reason };
            let tree = tree_of(&game).map_err(located)?;
            let ends = tree.moves().filter(|&id| tree.children(id).is_empty());
            lines.extend(ends.map(|id| tree.line_to(id)));
        }
        if games == 0 { Err(LinesError::NoGame) } else { Ok(lines) }
    }
}

/// A game from the initial position with its variations.
pub(super) fn tree_of(game: &GameText<'_>) -> Result<Tree, LinesReason> {
    if let Some(tag) = game.broken_tag {
        return Err(LinesReason::Tag(tag.to_owned()));
    }
    let initial = Key::of(Line::default().start());
    let starts_here = |fen| Line::from_fen(fen, "").is_ok_and(|l| Key::of(l.start()) == initial);
    if !game.tag("FEN").is_none_or(starts_here) {
        return Err(LinesReason::NotFromStart);
    }
    let words = Words::new(game.movetext, 0, Extent::OneGame);
    Tree::read(words).map_err(LinesReason::Line)
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
    fn what_cannot_be_read_is_placed() {
        let text = "1. e4 *\n\n[Event \"Mine\"]\n\n1. e5 *\n";
        let error = Line::read_all(text).expect_err("illegal").to_string();
        assert!(error.starts_with("game 2 (Mine): "), "{error}");
        assert_eq!(Line::read_all(" \n").expect_err("empty").to_string(), "it holds no game");
    }
}
