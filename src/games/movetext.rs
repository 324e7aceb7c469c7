//! The movetext of one game: its moves as written, one by one, and how it ends.

use memchr::{memchr, memchr3, memrchr};

use super::comments::Remarks;
use super::plain::{plain_remarks, plain_word};
use super::text::{END_MARKERS, is_space, line_end};

/// One move as written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PlayedMove<'a> {
    /// The word: SAN with its check sign, or whatever stands in its place.
    pub san: &'a [u8],
    /// Time left behind the move, in tenths of a second.
    pub clock: Option<u32>,
    /// Evaluation behind the move from White's view, in centipawns clamped to +-1000.
    pub eval: Option<i16>,
}

/// How a movetext ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Ending<'a> {
    /// The end marker, if it is the last word and no other was met among the moves taken.
    pub marker: Option<&'a [u8]>,
    /// Whether all comments and variations are closed.
    pub closed: bool,
}

/// Reads a movetext from its start. Moves come one at a time; whoever has seen enough calls
/// [`Movetext::finish`], which jumps to the end without looking at the other moves.
///
/// Variations, NAGs, move numbers and comments are passed over; a word that is nothing of all that
/// counts as a move, which then cannot be read.
#[derive(Clone, Debug)]
pub struct Movetext<'a> {
    text: &'a [u8],
    at: usize,
    ahead: Option<Word<'a>>,
    marker: Option<&'a [u8]>,
    /// Whether anything but comments followed an end marker.
    misplaced: bool,
    open_variations: u32,
    unterminated: bool,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Word<'a> {
    Move(&'a [u8]),
    Marker(&'a [u8]),
    Comment(&'a [u8]),
    End,
}

impl<'a> Movetext<'a> {
    /// Reads `text`, the movetext of one game and nothing else.
    pub fn new(text: &'a [u8]) -> Movetext<'a> {
        Movetext {
            text,
            at: 0,
            ahead: None,
            marker: None,
            misplaced: false,
            open_variations: 0,
            unterminated: false,
        }
    }

    /// The next move with what the comments behind it say; `None` at the end.
    #[inline]
    pub fn next_move(&mut self) -> Option<PlayedMove<'a>> {
        self.plain_move().or_else(|| self.next_of_any_form())
    }

    /// The move at the current place, if it and all up to the next move are written as dumps write
    /// them; for speed only.
    #[inline]
    fn plain_move(&mut self) -> Option<PlayedMove<'a>> {
        if self.ahead.is_some() || self.open_variations > 0 || self.marker.is_some() {
            return None;
        }
        let text = &self.text[self.at..];
        let (san, behind) = text.split_at_checked(plain_word(text)?)?;
        let (Remarks { clock, eval }, length) = plain_remarks(behind)?;
        self.at += san.len() + length;
        Some(PlayedMove { san, clock, eval })
    }

    fn next_of_any_form(&mut self) -> Option<PlayedMove<'a>> {
        let san = self.search_move()?;
        match plain_remarks(&self.text[self.at..]) {
            Some((Remarks { clock, eval }, length)) => {
                self.at += length;
                Some(PlayedMove { san, clock, eval })
            }
            None => Some(self.with_remarks(san)),
        }
    }

    /// A move with all that the comments behind it say.
    fn with_remarks(&mut self, san: &'a [u8]) -> PlayedMove<'a> {
        let mut remarks = Remarks::default();
        loop {
            match self.word() {
                Word::Comment(comment) => remarks.add(comment),
                word => {
                    self.ahead = Some(word);
                    return PlayedMove { san, clock: remarks.clock, eval: remarks.eval };
                }
            }
        }
    }

    /// The next move, whatever stands before it.
    fn search_move(&mut self) -> Option<&'a [u8]> {
        loop {
            match self.take_word() {
                Word::Move(san) => {
                    self.misplaced |= self.marker.is_some();
                    return Some(san);
                }
                Word::Marker(marker) => {
                    self.misplaced |= self.marker.is_some();
                    self.marker = Some(marker);
                }
                Word::Comment(_) => {}
                Word::End => {
                    self.ahead = Some(Word::End);
                    return None;
                }
            }
        }
    }

    /// Goes to the end of the movetext.
    pub fn finish(mut self) -> Ending<'a> {
        if let Some(ending) = self.finish_in_line() {
            return ending;
        }
        let mut last = self.marker;
        loop {
            match self.take_word() {
                Word::Move(_) => last = None,
                Word::Marker(marker) => last = Some(marker),
                Word::Comment(_) => {}
                Word::End => break,
            }
        }
        let closed = !self.unterminated && self.open_variations == 0;
        Ending { marker: last.filter(|_| !self.misplaced), closed }
    }

    /// The usual case by a jump: the rest is one line, holds neither a variation nor a rest-of-line
    /// comment, and ends with an end marker outside comments. `None` where that is not
    /// plain to see.
    fn finish_in_line(&self) -> Option<Ending<'a>> {
        if self.open_variations > 0 || self.marker.is_some() || self.ahead == Some(Word::End) {
            return None;
        }
        let line = self.text[self.at..].trim_ascii_end();
        let brace = memrchr(b'}', line);
        let tail = &line[brace.map_or(0, |brace| brace + 1)..];
        if memchr(b'{', tail).is_some() || memchr3(b'(', b';', b'\n', line).is_some() {
            return None;
        }
        // A brace that closes nothing is a letter of the word that it touches.
        if brace.is_some() && !tail.first().is_some_and(|&byte| is_space(byte)) {
            return None;
        }
        let word =
            &tail[tail.iter().rposition(|&byte| is_space(byte)).map_or(0, |place| place + 1)..];
        let marker = END_MARKERS.into_iter().find(|&marker| marker == word)?;
        Some(Ending { marker: Some(marker), closed: true })
    }

    fn take_word(&mut self) -> Word<'a> {
        self.ahead.take().unwrap_or_else(|| self.word())
    }

    /// The next word of the main line.
    fn word(&mut self) -> Word<'a> {
        while let Some(&byte) = self.text.get(self.at) {
            let start = self.at;
            match byte {
                b'\n' => {
                    self.at += 1;
                    if self.text.get(self.at) == Some(&b'%') {
                        self.at = line_end(self.text, self.at);
                    }
                }
                b' ' | b'.' | b'!' | b'?' | b'\t' | b'\r' | 0x0b | 0x0c => self.at += 1,
                b'{' => match memchr(b'}', &self.text[start..]) {
                    Some(length) => {
                        self.at = start + length + 1;
                        if self.open_variations == 0 {
                            return Word::Comment(&self.text[start + 1..start + length]);
                        }
                    }
                    None => {
                        self.unterminated = true;
                        self.at = self.text.len();
                        return Word::End;
                    }
                },
                b';' => self.at = line_end(self.text, start),
                b'(' => {
                    self.open_variations += 1;
                    self.at += 1;
                }
                b')' if self.open_variations > 0 => {
                    self.open_variations -= 1;
                    self.at += 1;
                }
                b'$' => self.at += 1 + digits(&self.text[start + 1..]),
                _ => {
                    let word = self.main_word(byte);
                    if self.open_variations == 0 && word != Word::End {
                        return word;
                    }
                }
            }
        }
        Word::End
    }

    /// A word at the current place; `End` stands for a move number.
    fn main_word(&mut self, first: u8) -> Word<'a> {
        let rest = &self.text[self.at..];
        if matches!(first, b'0' | b'1' | b'*') {
            let length =
                |marker: &&[u8]| rest.get(marker.len()).is_none_or(|&byte| is_delimiter(byte));
            if let Some(marker) =
                END_MARKERS.into_iter().filter(length).find(|marker| rest.starts_with(marker))
            {
                self.at += marker.len();
                return Word::Marker(marker);
            }
        }
        if first.is_ascii_digit() && !rest.starts_with(b"0-0") {
            let mut length = digits(rest);
            while matches!(rest.get(length), Some(b'.')) {
                length += 1;
            }
            self.at += length + usize::from(rest.get(length) == Some(&b' '));
            return Word::End;
        }
        Word::Move(self.letters())
    }

    /// The letters from the current place up to what ends a word; at least one.
    fn letters(&mut self) -> &'a [u8] {
        let rest = &self.text[self.at..];
        let length = 1 + rest[1..].iter().take_while(|&&byte| !is_delimiter(byte)).count();
        self.at += length;
        &rest[..length]
    }
}

fn digits(text: &[u8]) -> usize {
    text.iter().take_while(|byte| byte.is_ascii_digit()).count()
}

fn is_delimiter(byte: u8) -> bool {
    const DELIMITERS: [bool; 256] = {
        let mut table = [false; 256];
        let bytes = b" \t\r\n\x0b\x0c.!?${}()[]<>;*\"";
        let mut place = 0;
        while place < bytes.len() {
            table[bytes[place] as usize] = true;
            place += 1;
        }
        table
    };
    DELIMITERS[usize::from(byte)]
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    proptest! {
        /// The judge reads every move as any text.
        #[test]
        fn what_dumps_write_is_read_like_any_other_text(
            parts in prop::collection::vec("e4|Nbxd7\\+|e8=Q#|O-O-O|0-0|axb10|e4!|\u{e9}5| |  |\n| 1\\. | 12\\.\\.\\. | 123\\.\\.\\. | 1234567\\. |12|\\.|\\(|\\)|1-0| \\{ \\[%clk 0:01:59\\] \\}| \\{ \\[%clk 0:00:61\\] \\}|\\{ \\[%eval 0\\.1\\] \\}| \\{ \\[%eval -?[0-9#.,]{1,7}\\] \\[%clk 0:01:59\\] \\}| \\{a\\} ", 0..40),
        ) {
            let text = parts.concat();
            let (mut plain, mut judge) = (Movetext::new(text.as_bytes()), Movetext::new(text.as_bytes()));
            loop {
                let played = plain.next_move();
                let judged = judge.search_move().map(|san| judge.with_remarks(san));
                prop_assert_eq!(played, judged, "{:?}", text);
                prop_assert_eq!(plain.clone().finish(), judge.clone().finish(), "{:?}", text);
                if played.is_none() {
                    break;
                }
            }
        }
    }

    fn moves(text: &str) -> Vec<String> {
        let mut movetext = Movetext::new(text.as_bytes());
        std::iter::from_fn(|| movetext.next_move())
            .map(|mv| String::from_utf8_lossy(mv.san).into_owned())
            .collect()
    }

    /// The ending, read after each possible number of moves: all must agree.
    fn ending(text: &str) -> (Option<&str>, bool) {
        let endings: Vec<Ending> = (0..=moves(text).len() + 1)
            .map(|count| {
                let mut movetext = Movetext::new(text.as_bytes());
                for _ in 0..count {
                    movetext.next_move();
                }
                movetext.finish()
            })
            .collect();
        assert!(endings.windows(2).all(|pair| pair[0] == pair[1]), "{text:?}: {endings:?}");
        let marker = endings[0].marker.map(|marker| std::str::from_utf8(marker).expect("ASCII"));
        (marker, endings[0].closed)
    }

    /// A torture game made from the PGN standard's sections 5 to 8.
    #[test]
    fn comments_variations_and_marks_are_passed_over() {
        let text = "1.e4 {brace ; with semicolon { and a left brace} e5 ; rest of line } with brace ( and 9. Qh5\n2 . Nf3!? $5 (2. f4 exf4 (2... d5!? 3. exd5) 3. Nf3) 2... Nc6 $1 {[%clk 0:09:58][%eval -6.05] text % not an escape}\n% second escape line 3. Bc4 Bc5\n3. Bb5 a6?? 4. Bxc6 dxc6 {[%emt 0:00:03]} 5. O-O *\n";
        assert_eq!(moves(text).join(" "), "e4 e5 Nf3 Nc6 Bb5 a6 Bxc6 dxc6 O-O");
        assert_eq!(ending(text), (Some("*"), true));
    }

    #[test]
    fn clock_and_evaluation_belong_to_the_move_before() {
        let mut movetext =
            Movetext::new(b"1. e4 {a} { [%eval 0.2] [%clk 0:03:00] } 1... e5 2. d4 *");
        let readings: Vec<_> =
            std::iter::from_fn(|| movetext.next_move()).map(|mv| (mv.clock, mv.eval)).collect();
        assert_eq!(readings, [(Some(1800), Some(20)), (None, None), (None, None)]);
    }

    #[test]
    fn comments_in_variations_say_nothing_about_the_main_line() {
        let mut movetext = Movetext::new(b"1. e4 (1. d4 {[%clk 0:03:00]}) 1... e5 *");
        assert_eq!(movetext.next_move().and_then(|mv| mv.clock), None);
    }

    #[test]
    fn endings_are_the_same_from_wherever_they_are_looked_for() {
        assert_eq!(ending("1. e4 e5 2. Nf3 {a} 1-0"), (Some("1-0"), true));
        assert_eq!(ending("1. e4 e5 0-1\n"), (Some("0-1"), true));
        assert_eq!(ending("1. e4 e5\r\n1/2-1/2\r\n"), (Some("1/2-1/2"), true));
        assert_eq!(ending("1. e4 {a} 1-0 {b}"), (Some("1-0"), true));
        assert_eq!(ending("1. e4 {a}1-0"), (Some("1-0"), true));
        assert_eq!(ending("1. e4 a}1-0"), (None, true));
        assert_eq!(ending("1. e4 1-0 e5"), (None, true));
        assert_eq!(ending("1. e4 e5"), (None, true));
        assert_eq!(ending("1. e4 {open 1-0\n\n"), (None, false));
        assert_eq!(ending("1. e4 (1. d4 1-0"), (None, false));
        assert_eq!(ending("1. e4 ; said 1-0"), (None, true));
        assert_eq!(ending(""), (None, true));
    }

    #[test]
    fn an_end_marker_before_the_end_is_none() {
        for text in ["1. e4 1-0 e5 1-0", "1. e4 1-0 1-0"] {
            let mut movetext = Movetext::new(text.as_bytes());
            while movetext.next_move().is_some() {}
            assert_eq!(movetext.finish().marker, None, "{text}");
        }
    }

    #[test]
    fn castling_with_zeros_is_a_move_and_numbers_are_not() {
        assert_eq!(
            moves("10.0-0 0-0-0+ 11 . Kb1 12...e8=Q# 1/2-1/2"),
            ["0-0", "0-0-0+", "Kb1", "e8=Q#"]
        );
    }

    #[test]
    fn junk_is_a_move_that_cannot_be_read() {
        assert_eq!(moves("1. e4 } <x> e5) *"), ["e4", "}", "<x", ">", "e5", ")"]);
    }
}
