//! Where the games of a text are, found by the rules of `deadfall::games` one by one: slow, with
//! the whole text in sight, and without any of the program's code.

use std::ops::Range;

use deadfall::games::{Measures, Span};
use shakmaty::san::San;

/// Start, start of the movetext and end of each game, less white space at its end.
pub fn games(text: &[u8], measures: Measures) -> Vec<[usize; 3]> {
    let naive = Naive { text, reach: measures.reach };
    let (mut found, mut at) = (Vec::new(), 0);
    while let Some((start, movetext, end)) = naive.next_game(at) {
        found.push(clipped(Span { start, movetext, end }, text));
        at = end;
    }
    found
}

/// The same of a game that was found otherwise.
pub fn clipped(span: Span, text: &[u8]) -> [usize; 3] {
    let end = span.start + text[span.start..span.end].trim_ascii_end().len();
    [span.start, span.movetext.min(end), end]
}

struct Naive<'a> {
    text: &'a [u8],
    reach: usize,
}

const MARKERS: [&str; 4] = ["1-0", "0-1", "1/2-1/2", "*"];
const NUMBER: [char; 11] = ['0', '1', '2', '3', '4', '5', '6', '7', '8', '9', '.'];

fn is_white(byte: u8) -> bool {
    b" \t\r\n\x0b\x0c".contains(&byte)
}

impl Naive<'_> {
    fn byte(&self, at: usize) -> Option<u8> {
        self.text.get(at).copied()
    }

    fn is_at(&self, at: usize, word: &str) -> bool {
        self.text[at.min(self.text.len())..].starts_with(word.as_bytes())
    }

    fn is_line_start(&self, at: usize) -> bool {
        at == 0 || self.text[at - 1] == b'\n'
    }

    fn is_event(&self, at: usize) -> bool {
        self.is_line_start(at) && self.is_at(at, "[Event \"")
    }

    /// The line break at or behind `at`, or the end.
    fn line_break(&self, at: usize) -> usize {
        (at..self.text.len()).find(|&at| self.text[at] == b'\n').unwrap_or(self.text.len())
    }

    fn within(&self, at: usize) -> Range<usize> {
        at..self.text.len().min(at + self.reach)
    }

    fn next_game(&self, mut at: usize) -> Option<(usize, usize, usize)> {
        loop {
            let byte = self.byte(at)?;
            if is_white(byte) {
                at += 1;
            } else if byte == b';' || byte == b'%' && self.is_line_start(at) {
                at = self.line_break(at);
            } else if byte == b'{' {
                at = self.comment(at + 1).unwrap_or_else(|end| end);
            } else if byte == b'[' {
                if self.is_event(at) || self.pair(at).is_some() {
                    let (movetext, end) = self.tags(at);
                    return Some((at, movetext, end));
                }
                at = self.line_break(at);
            } else {
                let word = self.word(at);
                if word.trim_start_matches(NUMBER).is_empty() && !word.is_empty() {
                    at += word.len();
                } else if is_numbered_move(&word) {
                    return Some((at, at, self.movetext(at)));
                } else {
                    at = self.line_break(at);
                }
            }
        }
    }

    /// The word that begins here; none if it is too long for a move.
    fn word(&self, at: usize) -> String {
        let bytes = self.within(at).map(|at| self.text[at]);
        let word: Vec<u8> = bytes.take_while(|&byte| !is_white(byte)).collect();
        if word.len() > 255 || word.len() == self.reach {
            return String::new();
        }
        word.iter().map(|&byte| char::from(byte)).collect()
    }

    /// Where tags may go on behind words that begin here; none if these are movetext.
    fn behind_words(&self, start: usize, mut at: usize) -> Option<usize> {
        let first = at;
        let space = (start..at).rev().take_while(|&at| is_white(self.text[at])).take(self.reach);
        if space.filter(|&at| self.text[at] == b'\n').count() > 1 {
            return None;
        }
        while let Some(byte) = self.byte(at) {
            let ends_like_game = || {
                let words = String::from_utf8_lossy(
                    &self.text[first.max(at.saturating_sub(self.reach))..at],
                );
                let words = words.trim_end_matches(|letter: char| letter.is_ascii_whitespace());
                MARKERS.iter().any(|end| words.ends_with(end))
            };
            match byte {
                b'\n' if self.byte(at + 1) == Some(b'[') => {
                    return (!self.is_event(at + 1) && !ends_like_game()).then_some(at + 1);
                }
                b'\n' if self.movetext(at) == at => {
                    let next = self.within(at + 1).find(|&at| self.text[at] != b'\r');
                    let is_empty = next.is_some_and(|next| self.text[next] == b'\n');
                    return (is_empty && !ends_like_game()).then_some(at);
                }
                b'\n' if self.byte(at + 1) == Some(b'%') => at = self.line_break(at + 1),
                b'{' => at = self.comment(at + 1).ok()?,
                b';' => at = self.line_break(at),
                _ if is_white(byte) => at += 1,
                _ => {
                    let word = self.word(at);
                    let is_moves =
                        MARKERS.iter().chain(&["(", ")", "$"]).any(|it| self.is_at(at, it));
                    if !word.is_empty() && word.trim_start_matches(NUMBER).is_empty() {
                        if word.contains('.') {
                            return None;
                        }
                        at += word.len();
                    } else if is_moves || is_numbered_move(&word) {
                        return None;
                    } else {
                        let stops = |&at: &usize| b"\n{;".contains(&self.text[at]);
                        at = (at..self.text.len()).find(stops)?;
                    }
                }
            }
        }
        None
    }

    /// Where the movetext begins behind the tags, and where the game ends.
    fn tags(&self, start: usize) -> (usize, usize) {
        let (mut at, mut has_event) = (start, false);
        while let Some(byte) = self.byte(at) {
            if is_white(byte) {
                at += 1;
            } else if byte == b'%' && self.is_line_start(at) {
                at = self.line_break(at);
            } else if byte == b'[' {
                if self.is_event(at) {
                    if at > start && (has_event || !self.is_below_bracket(at)) {
                        return (at, at);
                    }
                    has_event = true;
                }
                at = self.pair(at).unwrap_or_else(|| self.line_break(at));
            } else if let Some(tag) = self.behind_words(start, at) {
                at = tag;
            } else {
                return (at, self.movetext(at));
            }
        }
        (at, at)
    }

    /// Whether the line above the one that begins here begins with a bracket, near
    /// enough to be seen.
    fn is_below_bracket(&self, at: usize) -> bool {
        let Some(line_break) = at.checked_sub(1) else { return false };
        let above = (0..=line_break).rev().find(|&at| self.is_line_start(at)).unwrap_or(0);
        // The line break before it must be in reach, too, where there is one.
        let seen = at - above < self.reach || above == 0 && at <= self.reach;
        seen && self.text[above] == b'['
    }

    fn movetext(&self, mut at: usize) -> usize {
        while let Some(byte) = self.byte(at) {
            match byte {
                b'{' => match self.comment(at + 1) {
                    Ok(end) => at = end,
                    Err(end) => return end,
                },
                b';' => at = self.line_break(at),
                b'\n' => {
                    let mut next = at + 1;
                    while self.byte(next) == Some(b'\r') && next < at + 1 + self.reach {
                        next += 1;
                    }
                    let is_last = next == self.text.len() || next == at + 1 + self.reach;
                    if is_last || self.byte(next) == Some(b'\n') || self.byte(at + 1) == Some(b'[')
                    {
                        return at;
                    }
                    at = if self.byte(at + 1) == Some(b'%') {
                        self.line_break(at + 1)
                    } else {
                        at + 1
                    };
                }
                _ => at += 1,
            }
        }
        at
    }

    /// The place after a comment, or as an error where a game begins in it; the end of the
    /// text is both.
    fn comment(&self, from: usize) -> Result<usize, usize> {
        let mut at = from;
        while let Some(byte) = self.byte(at) {
            at += 1;
            match byte {
                b'}' => return Ok(at),
                b'\n' if self.is_event(at) => return Err(at),
                b'\n' if self.seems_left_open(from, at) => return self.closed_soon(at).ok_or(at),
                _ => {}
            }
        }
        Err(at)
    }

    fn seems_left_open(&self, from: usize, at: usize) -> bool {
        let is_tag = self.byte(at) == Some(b'[')
            && self.byte(at + 1).is_some_and(|byte| byte.is_ascii_alphabetic());
        let before = &self.text[from.max(at.saturating_sub(self.reach))..at];
        let text = String::from_utf8_lossy(before);
        let is_blank = |letter: char| letter.is_ascii_whitespace();
        let words = text.trim_end_matches(is_blank);
        let ends = MARKERS.iter().any(|end| words.ends_with(end));
        is_tag && ends && text[words.len()..].matches('\n').count() > 1
    }

    fn closed_soon(&self, at: usize) -> Option<usize> {
        for place in self.within(at) {
            match self.text[place] {
                b'}' => return Some(place + 1),
                b'{' => return None,
                // A brace in view decides, not one behind an Event.
                b'[' if place > at && self.is_event(place) => return None,
                _ => {}
            }
        }
        None
    }

    /// The place after the tag pair that begins here.
    fn pair(&self, start: usize) -> Option<usize> {
        let end = self.within(start).end;
        let text = &self.text[..end];
        let byte = |at: usize| text.get(at).copied();
        // Behind white space and escape lines, and how many lines ended.
        let gap = |mut at: usize| {
            let mut breaks = 0;
            while let Some(byte) = byte(at) {
                if byte == b'%' && text[at - 1] == b'\n' {
                    at = self.line_break(at).min(end);
                } else if is_white(byte) {
                    breaks += usize::from(byte == b'\n');
                    at += 1;
                } else {
                    break;
                }
            }
            (at, breaks)
        };
        let mut at = start + 1;
        while !matches!(byte(at)?, b'"' | b'\n' | b']') {
            at += 1;
        }
        match byte(at)? {
            b'\n' => at = gap(at).0,
            b']' => return None,
            _ => {}
        }
        if byte(at)? != b'"' {
            return None;
        }
        at += 1;
        while byte(at)? != b'"' {
            if byte(at)? == b'\n' {
                return None;
            }
            at += if byte(at)? == b'\\' && byte(at + 1)? != b'\n' { 2 } else { 1 };
        }
        let (next, breaks) = gap(at + 1);
        match byte(next) {
            Some(b']') => Some(next + 1),
            _ if breaks > 0 || next == end => Some(at + 1),
            _ => None,
        }
    }
}

fn is_numbered_move(word: &str) -> bool {
    let san = word.trim_start_matches(NUMBER).trim_end_matches(['+', '#', '!', '?']);
    matches!(san.parse(), Ok(San::Normal { .. } | San::Castle(_)))
}
