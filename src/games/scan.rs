//! Where games begin and end: the one definition, for whoever reads a text and for whoever cuts it.
//!
//! # The rules
//!
//! Lines end as [`settle_line_ends`](super::settle_line_ends) has it, which also has byte order
//! marks settled. *Behind an empty line* means that there is nothing on the line before but
//! carriage returns.
//!
//! - A line that begins with `[Event "` begins a game wherever it stands, also inside a comment, so
//!   that a text can be entered anywhere. There is one exception: directly below a line that
//!   begins with `[`, in a tag section that has no Event tag yet, it belongs to the game whose
//!   tags these are.
//! - **Between games** white space, comments, escape lines and free text are passed over. A game
//!   begins at `[` if a tag pair stands there, or else at the first word that is a move, perhaps
//!   behind its number; a word that is neither makes the rest of its line free text.
//! - **Tags** may share a line or spread over several; white space and escape lines may stand
//!   between them. What begins with `[` and is no tag pair is passed over with the rest of its
//!   line. The movetext begins with whatever else comes.
//! - **Comments and free text behind tags** are no movetext: what is not behind an empty line, in
//!   which no line and nothing behind a comment begins like moves or ends like a game, and below
//!   which an empty line follows, or a line that is no Event line and begins with `[`.
//! - **Movetext** ends at the line break before an empty line or a line that begins with `[`,
//!   outside comments.
//! - **Comments** in braces end at the next `}`, those behind `;` with their line; outside of both
//!   a line that begins with `%` is passed over. So that a brace left open costs one game only, a
//!   brace comment also ends, and the game with it, where a line begins with a tag behind an empty
//!   line behind a line that ends with an end marker; unless the comment is closed before another
//!   is opened and before the next `[Event "` that begins a line.
//! - No question is decided by bytes further away than [`Measures::reach`]: a tag pair is no longer
//!   than that, and a brace further away closes nothing that seems to be left open.
//!
//! So a scan can stop wherever that many bytes are not yet there, and go on when they are.

use memchr::{memchr, memchr2, memchr3};

use super::free_text::{Word, begins_like_moves, word};
use super::span::{Mark, Measures, Span};
use super::tags::read_pair;
use super::text::{
    begins_empty_line, begins_line, breaks_at_end, end_of_plain_line, ends_game, ends_movetext,
    ends_with_marker, follows_bracket, holds_event, is_event, is_space, seems_tag,
};

/// Passes over a text from a place between games, from mark to mark.
#[derive(Clone, Debug)]
pub struct Scan {
    measures: Measures,
    at: usize,
    part: Part,
    inside: Inside,
    /// Where the game begins in which the scan is.
    start: usize,
    /// Where its movetext begins, once it has.
    movetext: usize,
    /// Where the comment begins in which the scan is.
    comment: usize,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Part {
    Between,
    /// With an Event among them already, or not.
    Tags {
        first: bool,
        event: bool,
    },
    /// Behind tags, an Event among them or not, in what is perhaps no movetext.
    Words {
        event: bool,
    },
    /// At the beginning of a line, or not.
    Movetext {
        fresh: bool,
    },
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Inside {
    Nothing,
    /// What reaches to the end of its line.
    Line,
    /// Free text, which a comment may end, too.
    Text,
    Comment,
}

enum Step {
    On,
    Mark(Mark),
    /// The text, or what of it can be decided, is used up.
    Out,
}

impl Scan {
    /// A scan that begins at `at`, between games.
    pub fn new(at: usize, measures: Measures) -> Scan {
        Scan {
            measures,
            at,
            part: Part::Between,
            inside: Inside::Nothing,
            start: at,
            movetext: at,
            comment: at,
        }
    }

    /// Goes on to the next mark; `tag` is told of each tag pair on the way. `None` at the end of
    /// the text, or if there is `more` behind it, where that would have to be known.
    pub fn next_mark<'a>(
        &mut self,
        text: &'a [u8],
        more: bool,
        tag: &mut impl FnMut(&'a [u8], &'a [u8]),
    ) -> Option<Mark> {
        loop {
            let step = match (self.inside, self.part) {
                (Inside::Line | Inside::Text, _) => self.line(text),
                (Inside::Comment, _) => self.comment(text, more),
                (_, Part::Between) => self.between(text, more),
                (_, Part::Tags { .. }) => self.tags(text, more, tag),
                (_, Part::Words { event }) => self.words(text, more, event),
                (_, Part::Movetext { .. }) => self.movetext(text, more),
            };
            match step {
                Step::On => {}
                Step::Mark(mark) => return Some(mark),
                Step::Out if more || self.part == Part::Between => return None,
                Step::Out => {
                    self.inside = Inside::Nothing;
                    return self.end(text.len());
                }
            }
        }
    }

    /// The next game from its start to its end.
    pub(super) fn next_game<'a>(
        &mut self,
        text: &'a [u8],
        more: bool,
        tag: &mut impl FnMut(&'a [u8], &'a [u8]),
    ) -> Option<Span> {
        loop {
            if let Mark::Game(span) = self.next_mark(text, more, tag)? {
                return Some(span);
            }
        }
    }

    /// Where the game begins in which the scan is.
    pub fn open_game(&self) -> Option<usize> {
        (self.part != Part::Between).then_some(self.start)
    }

    /// Ends the game in which the scan is, where the text breaks off.
    pub(super) fn cut_off(&mut self, len: usize) -> Option<Span> {
        match self.end(len) {
            Some(Mark::Game(span)) => Some(span),
            _ => None,
        }
    }

    /// How many bytes from the start are not looked at again, if there is more behind the text.
    pub fn spent(&self) -> usize {
        // One more, so that no line seems to begin where the text was cut.
        self.at.saturating_sub(self.measures.reach + 1)
    }

    /// Goes on in a text that lacks so many bytes at the start.
    pub fn shift(&mut self, count: usize) {
        self.at -= count;
        for place in [&mut self.start, &mut self.movetext, &mut self.comment] {
            *place = place.saturating_sub(count);
        }
    }

    fn end(&mut self, end: usize) -> Option<Mark> {
        let movetext = match self.part {
            Part::Between => return None,
            Part::Tags { .. } => end,
            Part::Words { .. } | Part::Movetext { .. } => self.movetext,
        };
        self.part = Part::Between;
        self.at = end;
        Some(Mark::Game(Span { start: self.start, movetext, end }))
    }

    fn end_at(&mut self, end: usize) -> Step {
        self.end(end).map_or(Step::On, Step::Mark)
    }

    /// Whether all that may be needed behind the current place is there.
    fn sees(&self, text: &[u8], more: bool) -> bool {
        !more || text.len() - self.at > self.measures.reach
    }

    /// The next byte that is no white space, if all that may be needed behind it is there.
    fn next_letter(&mut self, text: &[u8], more: bool) -> Option<u8> {
        let rest = text.get(self.at..)?;
        self.at += rest.iter().take_while(|&&byte| is_space(byte)).count();
        text.get(self.at).copied().filter(|_| self.sees(text, more))
    }

    /// What may be looked at from `at` on.
    fn ahead<'a>(&self, text: &'a [u8], at: usize) -> &'a [u8] {
        &text[at..text.len().min(at + self.measures.reach)]
    }

    fn enter(&mut self, inside: Inside) -> Step {
        self.inside = inside;
        Step::On
    }

    fn open_comment(&mut self) -> Step {
        self.at += 1;
        self.comment = self.at;
        self.enter(Inside::Comment)
    }

    fn line(&mut self, text: &[u8]) -> Step {
        let rest = &text[self.at..];
        let end = match self.inside {
            Inside::Text => memchr3(b'\n', b'{', b';', rest),
            _ => memchr(b'\n', rest),
        };
        match end {
            Some(length) => {
                self.at += length;
                self.enter(Inside::Nothing)
            }
            None => {
                self.at = text.len();
                Step::Out
            }
        }
    }

    fn comment(&mut self, text: &[u8], more: bool) -> Step {
        loop {
            let Some(offset) = memchr2(b'}', b'\n', &text[self.at..]) else {
                self.at = text.len();
                return Step::Out;
            };
            self.at += offset;
            if text[self.at] == b'}' {
                self.at += 1;
                return self.enter(Inside::Nothing);
            }
            if !self.sees(text, more) {
                return Step::Out;
            }
            let next = self.at + 1;
            let event = is_event(text, next);
            if !event && !self.ends_with_game(text, next) {
                self.at = next;
                continue;
            }
            self.inside = Inside::Nothing;
            self.at = next;
            let end = if event { None } else { self.closed_behind(text, next) };
            return match end {
                Some(end) => {
                    self.at = end;
                    Step::On
                }
                None => self.end_at(next),
            };
        }
    }

    /// Whether the open comment ends before `at` as a game does and a tag seems to follow.
    fn ends_with_game(&self, text: &[u8], at: usize) -> bool {
        let from = self.comment.max(at.saturating_sub(self.measures.reach));
        seems_tag(&text[at..]) && ends_game(&text[from..at])
    }

    /// Where a comment open at `at` is closed before another is opened and before the next Event.
    fn closed_behind(&self, text: &[u8], at: usize) -> Option<usize> {
        let ahead = self.ahead(text, at);
        let brace = memchr2(b'{', b'}', ahead)?;
        (ahead[brace] == b'}' && !holds_event(&ahead[..brace])).then_some(at + brace + 1)
    }

    fn between(&mut self, text: &[u8], more: bool) -> Step {
        while let Some(byte) = self.next_letter(text, more) {
            let at = self.at;
            match byte {
                b'%' if begins_line(text, at) => return self.enter(Inside::Line),
                b';' => return self.enter(Inside::Line),
                b'{' => return self.open_comment(),
                b'[' if is_event(text, at) || read_pair(self.ahead(text, at)).is_some() => {
                    return self.begin(Part::Tags { first: true, event: false });
                }
                b'[' => return self.enter(Inside::Line),
                _ => match word(self.ahead(text, at), self.measures.reach) {
                    Word::Move => {
                        self.movetext = at;
                        return self.begin(Part::Movetext { fresh: true });
                    }
                    Word::Number(length) => self.at += length,
                    Word::Text => return self.enter(Inside::Line),
                },
            }
        }
        Step::Out
    }

    fn begin(&mut self, part: Part) -> Step {
        self.start = self.at;
        self.part = part;
        Step::Mark(Mark::Start(self.at))
    }

    fn tags<'a>(
        &mut self,
        text: &'a [u8],
        more: bool,
        tag: &mut impl FnMut(&'a [u8], &'a [u8]),
    ) -> Step {
        while let Some(byte) = self.next_letter(text, more) {
            let at = self.at;
            match (byte, self.part) {
                (b'%', _) if begins_line(text, at) => return self.enter(Inside::Line),
                (b'[', Part::Tags { first, event }) => {
                    let is_event = is_event(text, at);
                    let belongs = || !event && follows_bracket(text, at, self.measures.reach);
                    if is_event && !first && !belongs() {
                        return self.end_at(at);
                    }
                    self.part = Part::Tags { first: false, event: event || is_event };
                    let Some((name, value, length)) = read_pair(self.ahead(text, at)) else {
                        return self.enter(Inside::Line);
                    };
                    self.at += length;
                    if self.at - self.start <= self.measures.longest {
                        tag(name, value);
                    }
                }
                (_, part) => {
                    self.movetext = at;
                    let from = self.start.max(at.saturating_sub(self.measures.reach));
                    self.part = match part {
                        Part::Tags { event, .. } if breaks_at_end(&text[from..at]) < 2 => {
                            Part::Words { event }
                        }
                        _ => Part::Movetext { fresh: true },
                    };
                    return Step::On;
                }
            }
        }
        Step::Out
    }

    /// Passes over what may stand behind tags, until it is known whether it does.
    fn words(&mut self, text: &[u8], more: bool, event: bool) -> Step {
        while let Some(&byte) = text.get(self.at) {
            let at = self.at;
            match byte {
                _ if !self.sees(text, more) => return Step::Out,
                b'\n' => {
                    let behind = self.ahead(text, at + 1);
                    let is_tag = behind.first() == Some(&b'[') && !is_event(text, at + 1);
                    if (is_tag || begins_empty_line(behind)) && !self.seems_over(text) {
                        self.part = Part::Tags { first: false, event };
                        return Step::On;
                    }
                    if ends_movetext(behind) {
                        return self.end_at(at);
                    }
                    self.at += 1;
                    if behind.first() == Some(&b'%') {
                        return self.enter(Inside::Line);
                    }
                }
                b'{' => return self.open_comment(),
                b';' => return self.enter(Inside::Line),
                _ if is_space(byte) => self.at += 1,
                _ => match word(self.ahead(text, at), self.measures.reach) {
                    Word::Number(length)
                        if text[at..at + length].iter().all(u8::is_ascii_digit) =>
                    {
                        self.at += length;
                    }
                    Word::Text if !begins_like_moves(self.ahead(text, at)) => {
                        return self.enter(Inside::Text);
                    }
                    _ => {
                        self.part = Part::Movetext { fresh: false };
                        return Step::On;
                    }
                },
            }
        }
        Step::Out
    }

    /// Whether a game ends with the line that ends here, by its end marker.
    fn seems_over(&self, text: &[u8]) -> bool {
        let from = self.movetext.max(self.at.saturating_sub(self.measures.reach));
        ends_with_marker(&text[from..self.at])
    }

    fn movetext(&mut self, text: &[u8], more: bool) -> Step {
        loop {
            if self.part == (Part::Movetext { fresh: true }) {
                self.part = Part::Movetext { fresh: false };
                self.at = end_of_plain_line(text, self.at).unwrap_or(self.at);
            }
            let Some(offset) = memchr3(b'\n', b'{', b';', &text[self.at..]) else {
                self.at = text.len();
                return Step::Out;
            };
            self.at += offset;
            match text[self.at] {
                b'{' => return self.open_comment(),
                b';' => return self.enter(Inside::Line),
                _ if !self.sees(text, more) => return Step::Out,
                _ if ends_movetext(self.ahead(text, self.at + 1)) => return self.end_at(self.at),
                _ => {
                    self.at += 1;
                    self.part = Part::Movetext { fresh: true };
                    if text[self.at] == b'%' {
                        return self.enter(Inside::Line);
                    }
                }
            }
        }
    }
}

/// The length of the comments and free text at the start of `text`, which stands behind tags and no
/// empty line; `None` if they are movetext.
pub fn words_behind_tags(text: &[u8]) -> Option<usize> {
    let mut scan = Scan::new(0, Measures::FIXED);
    scan.part = Part::Words { event: false };
    loop {
        let step = match scan.inside {
            Inside::Nothing => scan.words(text, false, false),
            Inside::Line | Inside::Text => scan.line(text),
            Inside::Comment => scan.comment(text, false),
        };
        match (step, scan.part) {
            (Step::On, Part::Words { .. }) => {}
            (Step::On, Part::Tags { .. }) => return Some(scan.at + 1),
            _ => return None,
        }
    }
}
