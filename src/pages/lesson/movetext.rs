//! Words of a movetext in the export format: lines of at most 79 letters.

use super::text::words_of;
use crate::lines::{Line, wrapped};

/// The longest line of the export format.
const WIDTH: usize = 79;

/// Words of a movetext, put into lines at the end.
#[derive(Default)]
pub(super) struct Movetext {
    words: Vec<String>,
    /// Whether the next move of Black needs its number.
    broken: bool,
    /// What the next word begins with.
    open: String,
}

impl Movetext {
    pub(super) fn word(&mut self, word: &str) {
        let word = format!("{}{word}", std::mem::take(&mut self.open));
        // At the start of a line these would begin an escape, a tag or a comment to the line's end.
        let glued = word.starts_with(['%', '[', ';']);
        match self.words.last_mut().filter(|_| glued) {
            Some(last) => {
                last.push(' ');
                last.push_str(&word);
            }
            None => self.words.push(word),
        }
    }

    /// A half-move in SAN, numbered where it needs to be.
    pub(super) fn written(&mut self, ply: usize, san: &str) {
        let first = std::mem::take(&mut self.broken) || self.words.is_empty();
        match (ply.is_multiple_of(2), first || !self.open.is_empty()) {
            (true, _) => self.word(&format!("{}.", ply / 2 + 1)),
            (false, true) => self.word(&format!("{}...", ply / 2 + 1)),
            (false, false) => {}
        }
        self.word(san);
    }

    pub(super) fn half_move(&mut self, line: &Line, ply: usize) {
        self.written(ply, &line.san(ply));
    }

    pub(super) fn comment(&mut self, text: &str) {
        let plain = |c: char| match c {
            '\u{2212}' => '-',
            '\u{2019}' => '\'',
            '{' => '(',
            '}' => ')',
            c => c,
        };
        let text: String = text.replace("\u{a0}%", "%").chars().map(plain).collect();
        self.open.push('{');
        text.split_whitespace().for_each(|word| self.word(word));
        self.end("}");
    }

    /// Words of others, of which no letter changes but the brackets that would end them.
    pub(super) fn remark(&mut self, text: &str) {
        let plain = |c: char| match c {
            '{' => '(',
            '}' => ')',
            c => c,
        };
        let text: String = words_of(text).chars().map(plain).collect();
        self.open.push('{');
        text.split(' ').for_each(|word| self.word(word));
        self.end("}");
    }

    pub(super) fn open(&mut self) {
        self.open.push('(');
    }

    pub(super) fn close(&mut self) {
        self.end(")");
    }

    pub(super) fn end(&mut self, bracket: &str) {
        if let Some(last) = self.words.last_mut() {
            last.push_str(bracket);
        }
        self.broken = true;
    }

    pub(super) fn lines(&self) -> String {
        wrapped(self.words.iter().map(String::as_str), WIDTH, 0, |_| true) + "\n"
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_keep_to_the_width_and_begin_with_nothing_that_means_something_else() {
        let mut out = Movetext::default();
        out.comment(&"62 % [58, 66] of 1,204 ; ".repeat(20));
        for line in out.lines().lines() {
            assert!(line.len() <= WIDTH && !line.starts_with(['%', '[', ';']), "{line}");
        }
    }

    #[test]
    fn a_comment_ends_where_it_should() {
        let mut out = Movetext::default();
        out.comment("a} b {c \u{2212}1\u{a0}%");
        assert_eq!(out.lines(), "{a) b (c -1%}\n");
    }

    #[test]
    fn black_gets_a_number_where_something_stood_before() {
        let line: Line = "1. e4 e5 2. Nf3 Nc6".parse().expect("a line");
        let mut out = Movetext::default();
        out.half_move(&line, 0);
        out.half_move(&line, 1);
        out.comment("x");
        out.half_move(&line, 2);
        out.comment("y");
        out.half_move(&line, 3);
        assert_eq!(out.lines(), "1. e4 e5 {x} 2. Nf3 {y} 2... Nc6\n");
    }
}
