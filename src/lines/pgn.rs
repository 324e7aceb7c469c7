//! Games of a text by hand: their tags and where their movetext is.
//!
//! Unlike the games of a dump these are few and written by a person, so nothing unreadable is
//! passed over in silence but free text between games.

use shakmaty::Color;

use super::Line;
use super::spelling::is_move;
use super::text_error::GameReason;
use super::tokens::{END_MARKERS, Extent, Token, Tokens};
use crate::games::words_behind_tags;
use crate::terms::Key;

#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct GameText<'a> {
    /// Names and values, escapes undone, in their order.
    tags: Vec<(&'a str, String)>,
    /// A tag line that cannot be read.
    pub broken_tag: Option<&'a str>,
    /// From the first word of the movetext to its last.
    pub movetext: &'a str,
    /// The empty line, counted from 1, behind which the moves seem to go on, which it has ended.
    torn_at: Option<usize>,
    /// Where it begins in the text of all games, in bytes.
    pub start: usize,
}

impl GameText<'_> {
    /// The value of a tag, trimmed; `None` if there is none, or it is empty or "?".
    pub(super) fn tag(&self, name: &str) -> Option<&str> {
        let (_, value) = self.tags.iter().rev().find(|(known, _)| *known == name)?;
        let value = value.trim();
        (!matches!(value, "" | "?")).then_some(value)
    }

    /// Whether it has any tag, readable or not.
    pub(super) fn is_tagged(&self) -> bool {
        !self.tags.is_empty() || self.broken_tag.is_some()
    }

    /// The side that a tag names, if there is one.
    pub(super) fn side(&self, name: &'static str) -> Result<Option<Color>, GameReason> {
        match self.tag(name) {
            None => Ok(None),
            Some(side) if side.eq_ignore_ascii_case("white") => Ok(Some(Color::White)),
            Some(side) if side.eq_ignore_ascii_case("black") => Ok(Some(Color::Black)),
            Some(other) => Err(GameReason::Side(name, other.to_owned())),
        }
    }

    /// Whether its tags can be read, and say that it is a game of standard chess from the
    /// initial position.
    pub(super) fn check_start(&self) -> Result<(), GameReason> {
        if let Some(tag) = self.broken_tag {
            return Err(GameReason::Tag(tag.to_owned()));
        }
        if let Some(line) = self.torn_at {
            return Err(GameReason::Torn(line));
        }
        let starts_elsewhere = |fen| {
            let initial = Key::of(Line::default().start());
            Line::from_fen(fen, "").map_or(true, |line| Key::of(line.start()) != initial)
        };
        match self.tag("FEN") {
            Some(fen) if starts_elsewhere(fen) => return Err(GameReason::NotFromStart("FEN")),
            None if self.tag("SetUp") == Some("1") => {
                return Err(GameReason::NotFromStart("SetUp"));
            }
            _ => {}
        }
        match self.tag("Variant") {
            Some(variant) if !["standard", "chess"].contains(&variant.to_lowercase().as_str()) => {
                Err(GameReason::Variant(variant.to_owned()))
            }
            _ => Ok(()),
        }
    }
}

/// The games of a text in order.
///
/// A game starts at its first tag, or without tags at its first move or move number; its movetext
/// ends at an empty line or a line that begins with `[`, both outside comments, or behind its end
/// marker. What may come behind tags is as in a dump.
#[derive(Clone, Debug)]
pub(super) struct Games<'a> {
    text: &'a str,
    at: usize,
}

impl<'a> Games<'a> {
    pub(super) fn of(text: &'a str) -> Games<'a> {
        Games { text, at: 0 }
    }

    /// Passes empty lines and escape lines; whether an empty line was among them.
    fn pass_gap(&mut self) -> bool {
        let mut empty = false;
        loop {
            let rest = &self.text[self.at..];
            // The rest of a tag's line is no empty line.
            let starts_line = self.at == 0 || self.text[..self.at].ends_with('\n');
            let inside = rest.trim_start_matches(is_blank);
            if rest.starts_with('%') {
                self.at += rest.find('\n').map_or(rest.len(), |end| end + 1);
                continue;
            }
            self.at += rest.len() - inside.len();
            if !inside.starts_with('\n') {
                return empty;
            }
            empty |= starts_line;
            self.at += 1;
        }
    }

    fn read_tags(&mut self, game: &mut GameText<'a>) {
        loop {
            let gap = self.pass_gap();
            let rest = &self.text[self.at..];
            let next_game = gap && rest.starts_with("[Event \"") && !game.tags.is_empty();
            if next_game {
                return;
            }
            if !rest.starts_with('[') {
                match words_behind_tags(rest.as_bytes()) {
                    Some(length) if !gap && !game.tags.is_empty() => self.at += length,
                    _ => return,
                }
                continue;
            }
            match read_pair(rest) {
                Some((name, value, length)) => {
                    game.tags.push((name, value));
                    self.at += length;
                }
                None => {
                    let line = rest.lines().next().unwrap_or_default();
                    game.broken_tag.get_or_insert(line.trim_end());
                    self.at += line.len();
                }
            }
        }
    }
}

impl Games<'_> {
    /// The empty line behind a movetext that it ends, if moves come next whose number is not that
    /// of a first move.
    fn torn_at(&self, movetext: &str) -> Option<usize> {
        let ended = END_MARKERS.iter().any(|marker| movetext.ends_with(marker));
        let rest = self.text[self.at..].trim_start();
        let behind = rest.trim_start_matches(|letter: char| letter.is_ascii_digit());
        let number = &rest[..rest.len() - behind.len()];
        let goes_on = behind.starts_with('.') && (number != "1" || behind.starts_with("..."));
        let line = || self.text[..self.at].matches('\n').count() + 1;
        (!ended && !number.is_empty() && goes_on).then(line)
    }
}

/// White space within a line.
fn is_blank(letter: char) -> bool {
    letter.is_whitespace() && letter != '\n'
}

/// Reads `[Name "value"]` at the start of a text, within its first line and no further than its
/// bracket: name, value, length.
fn read_pair(text: &str) -> Option<(&str, String, usize)> {
    let quote = text.find(['"', '\n']).filter(|&at| text[at..].starts_with('"'))?;
    let name = text[1..quote].trim();
    let mut value = String::new();
    let mut letters = text[quote + 1..].char_indices().take_while(|(_, letter)| *letter != '\n');
    let end = loop {
        match letters.next()? {
            (at, '"') => break quote + 1 + at + 1,
            (_, '\\') => value.push(letters.next()?.1),
            (_, letter) => value.push(letter),
        }
    };
    let behind = text[end..].trim_start_matches(is_blank);
    let length = text.len() - behind.strip_prefix(']')?.len();
    let named =
        !name.is_empty() && name.bytes().all(|byte| byte.is_ascii_alphanumeric() || byte == b'_');
    named.then_some((name, value, length))
}

impl<'a> Iterator for Games<'a> {
    type Item = GameText<'a>;

    fn next(&mut self) -> Option<GameText<'a>> {
        loop {
            let mut game = GameText {
                tags: Vec::new(),
                broken_tag: None,
                movetext: "",
                torn_at: None,
                start: 0,
            };
            self.read_tags(&mut game);
            let tagged = game.is_tagged();
            let start = self.at;
            if start == self.text.len() && !tagged {
                return None;
            }
            if self.text[start..].starts_with('[') {
                return Some(game);
            }
            let mut words = Tokens::new(self.text, start, Extent::OneGame);
            let first_move = words.by_ref().find_map(|word| match word {
                Token::Move(written) => Some(written),
                _ => None,
            });
            words.by_ref().for_each(drop);
            self.at = words.at();
            game.movetext = self.text[start..self.at].trim_end();
            game.start = start;
            let numbered = game.movetext.trim_start_matches(|c: char| c.is_ascii_digit());
            let numbered = numbered.len() < game.movetext.len() && numbered.starts_with('.');
            if tagged || numbered || first_move.is_some_and(is_move) {
                game.torn_at = self.torn_at(game.movetext);
                return Some(game);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn movetexts(text: &str) -> Vec<&str> {
        Games::of(text).map(|game| game.movetext).collect()
    }

    #[test]
    fn tags_are_read_with_their_escapes_undone() {
        let text = "% made by hand\n[Event \"A \\\"B\\\" \\\\\"] [Site \"?\"]\r\n\r\n1. e4 *\n";
        let game = Games::of(text).next().expect("a game");
        assert_eq!((game.tag("Event"), game.tag("Site")), (Some("A \"B\" \\"), None));
        assert_eq!((game.movetext, game.broken_tag), ("1. e4 *", None));
    }

    #[test]
    fn games_are_cut_with_and_without_tags_markers_and_gaps() {
        let text =
            "1. e4 e5 * 1. d4 d5\n\n[Event \"x\"]\n1. c4\nc5\n[Event \"y\"]\n\n[Event \"z\"]\nf3";
        assert_eq!(movetexts(text), ["1. e4 e5 *", "1. d4 d5", "1. c4\nc5", "", "f3"]);
    }

    #[test]
    fn words_between_tags_part_no_game() {
        let text = "[Event \"a\"] ; note\n{ hello }\nwords\n[Site \"b\"]\n\n1. e4 e5\n\n1. d4";
        let games: Vec<_> = Games::of(text).collect();
        assert_eq!((games.len(), games[0].tag("Site")), (2, Some("b")));
        assert_eq!(games[0].movetext, "1. e4 e5");
        for words in ["; note", "{ a\n\nb }", "words"] {
            let text = format!("[A \"x\"]\n{words}\n\n{{c}} 1. e4 *");
            let games: Vec<_> = Games::of(&text).map(|game| game.movetext).collect();
            assert_eq!(games, ["{c} 1. e4 *"], "{words}");
        }
    }

    #[test]
    fn an_empty_line_before_moves_that_go_on_is_named() {
        let torn = |text: &str| -> Vec<_> { Games::of(text).map(|game| game.torn_at).collect() };
        assert_eq!(torn("[Event \"a\"]\n\n1. e4 e5\n\n2. Nf3\n"), [Some(4), None]);
        assert_eq!(torn("1. e4\n \n\n1... Sf6"), [Some(2), None]);
        assert_eq!(torn("1. e4 *\n\n2. Sf3"), [None, None]);
        assert_eq!(torn("1. e4\n\n1. d4"), [None, None]);
    }

    #[test]
    fn an_event_tag_starts_a_game_only_behind_an_empty_line() {
        let text = "[Site \"a\"]\n[Event \"b\"]\n\n1. e4";
        assert_eq!(movetexts(text), ["1. e4"]);
        assert_eq!(movetexts(&text.replace("]\n[", "]\n\n[")), ["", "1. e4"]);
    }

    #[test]
    fn free_text_is_no_game() {
        assert_eq!(
            movetexts("My traps for Monday\n\n1. e4 e5\n\n{only a comment}\n"),
            ["1. e4 e5"]
        );
        assert_eq!(movetexts(" \n\n"), [""; 0]);
    }

    #[test]
    fn a_game_without_tags_is_kept_when_its_first_move_is_misspelt() {
        assert_eq!(movetexts("1. ee4 e5\n\n1.d4 d5"), ["1. ee4 e5", "1.d4 d5"]);
    }

    #[test]
    fn a_tag_that_cannot_be_read_is_kept_for_the_error() {
        for line in ["[Setter White]", "[Setter \"White]", "[Setter \"White\"", "[ \"White\"]"] {
            let text = format!("{line}\n\n1. e4\n");
            let game = Games::of(&text).next().expect("a game");
            assert_eq!(game.broken_tag, Some(line));
        }
    }
}
