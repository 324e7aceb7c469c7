//! The words of a movetext: moves, marks, brackets, the end marker.
//!
//! Comments, marks and signs are passed over, and handed out only to a reader that keeps them: no
//! reader of moves changes by a comment.

use memchr::memchr2;
use pgn_reader::Nag;

use super::spelling::is_move;

/// How a line break counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Extent {
    /// The text is one line of moves: line breaks are white space.
    Whole,
    /// The text may hold more games: the movetext ends at an empty line, at a line that begins
    /// with `[`, both outside comments, and behind its end marker.
    OneGame,
}

/// One word of a movetext.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Token<'a> {
    /// A move as written, or whatever is in its place.
    Move(&'a str),
    /// A move number with the full stops right after it, and how many they are.
    Number { written: &'a str, dots: usize },
    /// A judgement on the move before.
    Mark(Mark),
    /// `(`
    Open,
    /// `)`
    Close,
    /// A brace comment that never ends: nothing comes after it.
    Unterminated,
}

/// A judgement on a move, as far as it can make a slip of it; in order of weight.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Mark {
    /// Any other mark.
    Remark,
    /// `?` or `$2`
    Mistake,
    /// `??` or `$4`
    Blunder,
}

impl Mark {
    /// Of a mark as written; three and more question marks are a blunder all the more.
    fn of(written: &str) -> Mark {
        match Nag::from_ascii(written.as_bytes()) {
            Ok(Nag::MISTAKE) => Mark::Mistake,
            Ok(Nag::BLUNDER) => Mark::Blunder,
            Err(_) if written.bytes().all(|byte| byte == b'?') => Mark::Blunder,
            _ => Mark::Remark,
        }
    }
}

/// Signs for the state of the game, which may follow a move on their own (common practice).
const SIGNS: [&str; 12] = [
    "+-", "-+", "+/-", "-/+", "+=", "=+", "=", "\u{b1}", "\u{2213}", "\u{2a72}", "\u{2a71}",
    "\u{221e}",
];
pub(super) const END_MARKERS: [&str; 5] = ["1-0", "0-1", "1/2-1/2", "\u{bd}-\u{bd}", "*"];
const DELIMITERS: &str = "!?${}();.*\u{2026}";

/// What is between moves and is no word: needed only where what an author wrote is kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Passed<'a> {
    /// The text of a comment.
    Comment(&'a str),
    /// A mark or a sign as written.
    Mark(&'a str),
}

/// Reads words one after another; comments, escape lines and signs are passed over.
/// Rules are those of the PGN standard (1994.03.12), sections 5 to 8.2.
#[derive(Clone, Debug)]
pub(super) struct Tokens<'a> {
    text: &'a str,
    at: usize,
    extent: Extent,
    depth: u32,
    ended: bool,
    /// What has been passed since it was last asked for, if it is kept.
    passed: Option<Vec<Passed<'a>>>,
}

impl<'a> Tokens<'a> {
    /// The words of `text` from the byte `at` on.
    pub(super) fn new(text: &'a str, at: usize, extent: Extent) -> Tokens<'a> {
        Tokens { text, at, extent, depth: 0, ended: false, passed: None }
    }

    /// The same, which keeps what it passes over.
    pub(super) fn keeping(self) -> Tokens<'a> {
        Tokens { passed: Some(Vec::new()), ..self }
    }

    /// Comments, marks and signs that were passed since the last call, up to and with
    /// the last word.
    pub(super) fn take_passed(&mut self) -> Vec<Passed<'a>> {
        self.passed.as_mut().map(std::mem::take).unwrap_or_default()
    }

    fn pass(&mut self, passed: Passed<'a>) {
        if let Some(kept) = &mut self.passed {
            kept.push(passed);
        }
    }

    /// The place behind the last word read, in bytes.
    pub(super) fn at(&self) -> usize {
        self.at
    }

    fn rest(&self) -> &'a str {
        &self.text[self.at..]
    }

    fn pass_line(&mut self) {
        self.at += self.rest().find('\n').unwrap_or(self.rest().len());
    }

    /// Whether what would be a comment to the end of a single line is a move after a wrong sign: no
    /// move is passed over in silence.
    fn goes_on_with_a_move(&self) -> bool {
        let behind = self.rest()[1..].lines().next().unwrap_or_default();
        let word = behind
            .trim_start_matches(|c: char| c.is_ascii_digit() || c == '.' || c.is_whitespace());
        let word = word.split_whitespace().next().unwrap_or_default();
        self.extent == Extent::Whole && is_move(word.trim_end_matches(['!', '?', ';', ',']))
    }

    /// Whether the line break that has just been passed ends the game.
    fn game_ends_here(&self) -> bool {
        let line = self.rest().lines().next().unwrap_or_default();
        self.extent == Extent::OneGame && (line.trim().is_empty() || line.starts_with('['))
    }

    /// Passes a brace comment; `false` if it never ends.
    fn pass_comment(&mut self) -> bool {
        let rest = self.rest().as_bytes();
        let mut from = 0;
        while let Some(found) = memchr2(b'}', b'\n', &rest[from..]) {
            let place = from + found;
            if rest[place] == b'}' {
                self.at += place + 1;
                return true;
            }
            // Looked for on the way, not ahead: many open comments must not be read many times.
            if self.extent == Extent::OneGame && rest[place..].starts_with(b"\n[Event \"") {
                self.at += place;
                return false;
            }
            from = place + 1;
        }
        self.at = self.text.len();
        false
    }

    /// Digits and the full stops behind them.
    fn number(&mut self) -> Token<'a> {
        let start = self.at;
        self.run(0, |c| c.is_ascii_digit());
        let stops = self.run(0, |c| matches!(c, '.' | '\u{2026}'));
        let dots = stops.chars().map(|stop| if stop == '.' { 1 } else { 3 }).sum();
        Token::Number { written: &self.text[start..self.at], dots }
    }

    /// A run of `!` and `?`, or `$` with its digits.
    fn mark(&mut self) -> Mark {
        let numeric = self.rest().starts_with('$');
        let belongs = |c: char| if numeric { c.is_ascii_digit() } else { matches!(c, '!' | '?') };
        let written = self.run(1, belongs);
        self.pass(Passed::Mark(written));
        Mark::of(written)
    }

    /// The next `first` bytes and all letters behind them that belong to them.
    fn run(&mut self, first: usize, belongs: impl Fn(char) -> bool) -> &'a str {
        let rest = self.rest();
        let length = rest[first..].find(|c| !belongs(c)).map_or(rest.len(), |end| first + end);
        self.at += length;
        &rest[..length]
    }

    /// A word without a delimiter in it.
    fn plain(&mut self) -> Option<Token<'a>> {
        let rest = self.rest();
        let marker = END_MARKERS.into_iter().find(|marker| {
            let behind = rest.strip_prefix(marker).map(|behind| behind.chars().next());
            behind.is_some_and(|next| next.is_none_or(is_delimiter))
        });
        if let Some(marker) = marker {
            self.at += marker.len();
            if self.depth > 0 {
                return None;
            }
            self.ended = self.extent == Extent::OneGame || self.rest().trim_start().is_empty();
            return (!self.ended).then_some(Token::Move(marker));
        }
        let castles = rest.starts_with("0-0") || rest.starts_with("0\u{2013}0");
        if rest.starts_with(|c: char| c.is_ascii_digit()) && !castles {
            return Some(self.number());
        }
        let first = rest.chars().next().map_or(0, char::len_utf8);
        let word = self.run(first, |c| !is_delimiter(c));
        if SIGNS.contains(&word) {
            self.pass(Passed::Mark(word));
            return None;
        }
        Some(Token::Move(word))
    }
}

fn is_delimiter(c: char) -> bool {
    c.is_whitespace() || DELIMITERS.contains(c)
}

impl<'a> Iterator for Tokens<'a> {
    type Item = Token<'a>;

    fn next(&mut self) -> Option<Token<'a>> {
        while !self.ended {
            let first = self.rest().chars().next()?;
            let starts_line = self.at == 0 || self.text[..self.at].ends_with('\n');
            match first {
                '\n' => {
                    self.at += 1;
                    self.ended = self.game_ends_here();
                }
                '%' if starts_line => self.pass_line(),
                ';' if self.goes_on_with_a_move() => {
                    return Some(Token::Move(self.run(1, |c| c != '\n')));
                }
                ';' => {
                    let from = self.at + 1;
                    self.pass_line();
                    self.pass(Passed::Comment(&self.text[from..self.at]));
                }
                '{' => {
                    let from = self.at + 1;
                    if !self.pass_comment() {
                        self.ended = true;
                        return Some(Token::Unterminated);
                    }
                    self.pass(Passed::Comment(&self.text[from..self.at - 1]));
                }
                '(' => {
                    self.at += 1;
                    self.depth += 1;
                    return Some(Token::Open);
                }
                ')' => {
                    self.at += 1;
                    self.depth = self.depth.saturating_sub(1);
                    return Some(Token::Close);
                }
                '$' | '!' | '?' => return Some(Token::Mark(self.mark())),
                '.' | '\u{2026}' => self.at += first.len_utf8(),
                _ if first.is_whitespace() => self.at += first.len_utf8(),
                _ => {
                    if let Some(word) = self.plain() {
                        return Some(word);
                    }
                }
            }
        }
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn words(text: &str, extent: Extent) -> String {
        let shown = Tokens::new(text, 0, extent).map(|word| match word {
            Token::Move(written) | Token::Number { written, .. } => written.to_owned(),
            Token::Mark(mark) => format!("{mark:?}"),
            Token::Open => "(".to_owned(),
            Token::Close => ")".to_owned(),
            Token::Unterminated => "open".to_owned(),
        });
        shown.collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn comments_and_signs_are_passed_over_and_numbers_kept_with_their_stops() {
        let text =
            "1.e4 {a ( b} 1... e5 ; rest (\n% escape\n2 . Nf3\u{2026} 0-0 +- 10.0-0-0 = Qh4#";
        assert_eq!(words(text, Extent::Whole), "1. e4 1... e5 2 Nf3 0-0 10. 0-0-0 Qh4#");
    }

    #[test]
    fn marks_are_known_in_both_spellings() {
        let text = "e4? e5?? d4 $2 d5 $4 Nf3!? Nf6 $10 a4??? b4 ?";
        let read = "e4 Mistake e5 Blunder d4 Mistake d5 Blunder Nf3 Remark Nf6 Remark a4 Blunder \
                    b4 Mistake";
        assert_eq!(words(text, Extent::Whole), read);
    }

    #[test]
    fn a_game_ends_at_its_marker_an_empty_line_or_a_tag() {
        for text in ["e4 e5 * d4", "e4 e5\n\nd4", "e4 e5\r\n\r\nd4", "e4\ne5\n[Site \"x\"]"] {
            assert_eq!(words(text, Extent::OneGame), "e4 e5", "{text:?}");
        }
        assert_eq!(words("e4 e5\n\nd4", Extent::Whole), "e4 e5 d4");
    }

    #[test]
    fn an_end_marker_inside_a_line_is_an_unreadable_move() {
        assert_eq!(words("e4 1-0 e5 *", Extent::Whole), "e4 1-0 e5");
    }

    #[test]
    fn an_end_marker_in_a_variation_ends_nothing() {
        assert_eq!(words("e4 (d4 1-0) e5 0-1", Extent::Whole), "e4 ( d4 ) e5");
    }

    #[test]
    fn a_comment_that_never_ends_reaches_to_the_next_game_at_the_most() {
        let text = "e4 {oh\n\n[Event \"b\"]\n\nd4 {} *";
        let mut game = Tokens::new(text, 0, Extent::OneGame);
        assert_eq!(game.by_ref().last(), Some(Token::Unterminated));
        assert!(text[game.at()..].trim_start().starts_with("[Event"));
    }
}
