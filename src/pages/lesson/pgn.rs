//! The lesson as annotated PGN, in the export format of the PGN standard (1994), section 8.
//!
//! One game a trap, in teaching order: the seven tags and a few more in ASCII order, lines of at
//! most 79 letters, marks as NAGs (`$4` the slip, `$1` the refutation), figures in comments, other
//! moves as variations. Read again by `trap` it gives the same traps.

use std::io::{self, Write};

use super::advice::advice_text;
use super::figure::{Unit, counted_text, text};
use super::sentences::Sentences;
use super::text::{fill, name_of};
use super::words::Language;
use super::{Lesson, title};
use crate::answers::Figure;
use crate::answers::lesson::Material;
use crate::lines::{Line, MarkedSlip, wrapped};

/// The longest line of the export format.
const WIDTH: usize = 79;

/// Writes the games.
///
/// # Errors
///
/// Those of `out`.
pub fn pgn<W: Write>(mut out: W, lesson: &Lesson, words: &Language) -> io::Result<()> {
    for (index, material) in lesson.traps.iter().enumerate() {
        if index > 0 {
            out.write_all(b"\n")?;
        }
        out.write_all(game(lesson, index + 1, material, words).as_bytes())?;
    }
    Ok(())
}

fn game(lesson: &Lesson, round: usize, material: &Material, words: &Language) -> String {
    let report = &material.report;
    let mut tags = vec![
        ("Event", title(material)),
        ("Site", "?".into()),
        ("Date", "????.??.??".into()),
        ("Round", round.to_string()),
        ("White", "?".into()),
        ("Black", "?".into()),
        ("Result", "*".into()),
    ];
    let more = [
        ("Annotator", lesson.author.clone()),
        ("ECO", report.eco.clone()),
        ("Opening", report.opening.clone()),
        ("Setter", Some(report.setter.fold_wb("White", "Black").to_owned())),
    ];
    tags.extend(more.into_iter().filter_map(|(name, value)| Some((name, value?))));
    let mut game = String::new();
    for (name, value) in tags {
        let value = name_of(&value).replace('\\', "\\\\").replace('"', "\\\"");
        game += &format!("[{name} \"{value}\"]\n");
    }
    let mut moves = Movetext::default();
    Annotated { lesson, material, words }.write(&mut moves);
    moves.word("*");
    game + "\n" + &moves.lines()
}

struct Annotated<'a> {
    lesson: &'a Lesson,
    material: &'a Material,
    words: &'a Language,
}

impl Annotated<'_> {
    fn write(&self, out: &mut Movetext) {
        let trap = &self.material.trap;
        let filter = self.lesson.question.filter;
        let sentences = Sentences { material: self.material, filter, words: self.words };
        let parts = [
            ("setter", self.words.side(trap.setter()).to_owned()),
            ("advice", advice_text(self.material, filter, self.words)),
            ("reach", sentences.reached().text(self.words)),
            ("slip", sentences.slipped().text(self.words)),
            ("find", sentences.found().text(self.words)),
            ("net", sentences.gained().text(self.words)),
            ("ahead", sentences.ahead().text(self.words)),
        ];
        out.comment(&fill(self.words.pgn_trap, &parts));
        for ply in 0..trap.line().len() {
            out.half_move(trap.line(), ply);
            if ply == trap.slip_ply() {
                out.word("$4");
            } else if ply == trap.slip_ply() + 1 {
                out.word("$1");
            }
            if let Some(remark) = sentences.remark(ply) {
                out.comment(&remark.text(self.words));
            }
            if Some(ply) == trap.bait_ply() {
                self.usual(out);
            } else if ply == trap.slip_ply() {
                self.other_slips(out);
                self.answers(out);
            } else if ply == trap.slip_ply() + 1 {
                other_refutations(&trap.slips()[0], out);
            }
        }
    }

    /// What is usually played instead of the bait.
    fn usual(&self, out: &mut Movetext) {
        let trap = &self.material.trap;
        let usual = &self.material.report.figures.usual;
        let (Some(san), Some(ply)) = (&usual.san, trap.bait_ply()) else { return };
        let mut line = trap.line().first(ply);
        if line.play_written(san).is_err() {
            return;
        }
        out.open();
        out.half_move(&line, ply);
        let values = [("bait", trap.line().san(ply)), ("edge", self.edge(&usual.edge, Unit::Edge))];
        out.comment(&fill(self.words.pgn_usual, &values));
        out.close();
    }

    /// The victim's other answers, each with the usual reply.
    fn answers(&self, out: &mut Movetext) {
        let words = self.words;
        for answer in &self.material.answers {
            let row = &self.material.victims.moves[answer.row];
            let values = [
                ("share", counted_text(&row.share, Unit::Percent, words)),
                ("level", words.level(self.lesson.question.filter)),
                ("setter", words.side(self.material.trap.setter()).to_owned()),
                ("edge", self.edge(&row.edge, Unit::EdgeTurned)),
            ];
            out.open();
            let mut line = answer.line.clone();
            out.half_move(&line, line.len() - 1);
            out.comment(&fill(words.pgn_other, &values));
            let reply = answer.replies.moves.first();
            if let Some(reply) = reply.filter(|reply| line.play_written(&reply.uci).is_ok()) {
                out.half_move(&line, line.len() - 1);
                let values = [("share", counted_text(&reply.share, Unit::Percent, words))];
                out.comment(&fill(words.pgn_usual_reply, &values));
            }
            out.close();
        }
    }

    /// The other slips with all that refutes them.
    fn other_slips(&self, out: &mut Movetext) {
        let slips = self.material.report.slips.iter().flat_map(|slips| &slips.moves);
        for (slip, known) in self.material.trap.slips().iter().zip(slips).skip(1) {
            out.open();
            let (line, refutation) = (slip.line(), slip.ply_after());
            for ply in refutation - 1..line.len() {
                out.half_move(line, ply);
                if ply + 1 == refutation {
                    out.word("$4");
                    let level = self.words.level(self.lesson.question.filter);
                    let share = counted_text(&known.share, Unit::Percent, self.words);
                    let values = [("level", level), ("share", share)];
                    out.comment(&fill(self.words.remark_slip, &values));
                } else if ply == refutation {
                    out.word("$1");
                    other_refutations(slip, out);
                }
            }
            out.close();
        }
    }

    fn edge(&self, edge: &Figure, unit: Unit) -> String {
        text(edge, unit, self.words)
    }
}

/// Further refutations of a slip, as variations.
fn other_refutations(slip: &MarkedSlip, out: &mut Movetext) {
    for &mv in &slip.refutations()[1..] {
        let mut line = slip.line().first(slip.ply_after());
        line.play(mv);
        out.open();
        out.half_move(&line, line.len() - 1);
        out.close();
    }
}

/// Words of a movetext, put into lines at the end.
#[derive(Default)]
struct Movetext {
    words: Vec<String>,
    /// Whether the next move of Black needs its number.
    broken: bool,
    /// What the next word begins with.
    open: &'static str,
}

impl Movetext {
    fn word(&mut self, word: &str) {
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

    fn half_move(&mut self, line: &Line, ply: usize) {
        let first = std::mem::take(&mut self.broken) || self.words.is_empty();
        let text = if ply.is_multiple_of(2) || first || !self.open.is_empty() {
            line.text(ply..ply + 1)
        } else {
            line.san(ply)
        };
        text.split(' ').for_each(|word| self.word(word));
    }

    fn comment(&mut self, text: &str) {
        let plain = |c: char| match c {
            '\u{2212}' => '-',
            '{' => '(',
            '}' => ')',
            c => c,
        };
        let text: String = text.replace("\u{a0}%", "%").chars().map(plain).collect();
        self.open = "{";
        text.split_whitespace().for_each(|word| self.word(word));
        self.end("}");
    }

    fn open(&mut self) {
        self.open = "(";
    }

    fn close(&mut self) {
        self.end(")");
    }

    fn end(&mut self, bracket: &str) {
        if let Some(last) = self.words.last_mut() {
            last.push_str(bracket);
        }
        self.broken = true;
    }

    fn lines(&self) -> String {
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
