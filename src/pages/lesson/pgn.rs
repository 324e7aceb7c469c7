//! The lesson as annotated PGN, in the export format of the PGN standard (1994), section 8.
//!
//! One game a trap, in teaching order: the seven tags and a few more in ASCII order, lines of at
//! most 79 letters, what the author of the traps wrote as it was, marks as NAGs, figures in
//! comments, other moves as variations. A slip or a refutation without a mark gets one (`$4`,
//! `$1`). Read again by `trap` it gives the same traps.

use std::io::{self, Write};

use maud::html;
use shakmaty::Move;

use super::advice::{advice, no_trap};
use super::figure::{Unit, counted, markup};
use super::marks::{glyph, nag};
use super::movetext::Movetext;
use super::sentences::Sentences;
use super::text::name_of;
use super::{Lesson, numbered, title};
use crate::answers::lesson::{Material, OtherAnswer};
use crate::answers::trap::Slip;
use crate::lines::{Line, MarkedSlip, Script, WrittenMove, tag_pair};
use crate::pages::languages::{ENGLISH, Language, capital, text_of};

/// Writes the games.
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
        ("Event", title(material, &ENGLISH)),
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
        game += &tag_pair(name, &name_of(&value));
        game.push('\n');
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
    fn sentences(&self) -> Sentences<'_> {
        let filter = self.lesson.question.filter;
        Sentences { material: self.material, filter, words: self.words }
    }

    fn write(&self, out: &mut Movetext) {
        let trap = &self.material.trap;
        let (question, sentences) = (&self.lesson.question, self.sentences());
        let (kind, worth) = match &self.material.victim {
            None => (
                self.words.trap_for(trap.setter()),
                advice(self.material, question.filter, self.words),
            ),
            Some(victim) => (self.words.trap_against(victim.victim), sentences.own_slips()),
        };
        let no_trap =
            if self.material.victim.is_none() { no_trap(self.material, self.words) } else { None };
        let parts = [html! { (kind) "." }, worth].into_iter().chain(no_trap).chain(sentences.all());
        out.comment(&parts.map(|said| text_of(&said)).collect::<Vec<_>>().join(" "));
        let script = trap.script();
        script.iter().flat_map(|script| &script.before).for_each(|comment| out.remark(comment));
        for ply in 0..trap.line().len() {
            out.half_move(trap.line(), ply);
            let written = script.and_then(|script| script.moves.get(ply));
            self.marks(ply, written, out);
            written.iter().flat_map(|mv| &mv.comments).for_each(|comment| out.remark(comment));
            if let Some(remark) = sentences.remark(ply) {
                out.comment(&text_of(&remark));
            }
            let mut ours = self.beside(ply);
            for variation in written.iter().flat_map(|mv| &mv.variations) {
                let first = variation.first().map(|mv| mv.san.clone()).unwrap_or_default();
                let same = ours.iter().position(|own| own.san == first);
                let same = same.map(|place| ours.remove(place));
                self.variation(
                    variation,
                    same.as_ref().and_then(|own| own.comment.as_deref()),
                    out,
                );
            }
            ours.into_iter().for_each(|own| own.write(out));
        }
        for script in trap.other_scripts().filter(|script| script.says_anything()) {
            out.remark(&spelled(script));
        }
    }

    /// The author's marks, and those that the author did not set on the slip and the refutation.
    fn marks(&self, ply: usize, written: Option<&WrittenMove>, out: &mut Movetext) {
        let slip = self.material.trap.slip_ply();
        let marks = written.map_or(&[][..], |mv| &mv.marks);
        marks.iter().for_each(|mark| self.mark(mark, ply == slip, ply, out));
        if marks.is_empty() && ply == slip {
            out.word("$4");
        } else if marks.is_empty() && ply == slip + 1 {
            out.word("$1");
        }
    }

    /// A mark of the author. One that makes a slip of a move elsewhere is that of another game of
    /// the lesson, and a comment here, so that this game read again is this trap.
    fn mark(&self, mark: &str, own: bool, ply: usize, out: &mut Movetext) {
        let victims = ply % 2 == self.material.trap.slip_ply() % 2;
        match nag(mark) {
            Some(nag) if nag != "$4" || own || !victims => out.word(&nag),
            Some(_) => out.remark("??"),
            None => out.remark(mark),
        }
    }

    /// A variation of the author, with our comment behind its first move.
    fn variation(&self, moves: &[WrittenMove], ours: Option<&str>, out: &mut Movetext) {
        let trap = &self.material.trap;
        out.open();
        for (place, mv) in moves.iter().enumerate() {
            mv.before.iter().for_each(|comment| out.remark(comment));
            out.written(mv.ply, &mv.san);
            let slips = || trap.slips().iter().any(|slip| slip.san() == mv.san);
            let own = place == 0 && mv.ply == trap.slip_ply() && slips();
            mv.marks.iter().for_each(|mark| self.mark(mark, own, mv.ply, out));
            mv.comments.iter().for_each(|comment| out.remark(comment));
            if place == 0
                && let Some(ours) = ours
            {
                out.comment(ours);
            }
            mv.variations.iter().for_each(|moves| self.variation(moves, None, out));
        }
        out.close();
    }

    /// Our own variations beside a half-move of the line.
    fn beside(&self, ply: usize) -> Vec<Own> {
        let trap = &self.material.trap;
        if Some(ply) == trap.bait_ply() {
            self.usual().into_iter().collect()
        } else if ply == trap.slip_ply() {
            self.other_slips().into_iter().chain(self.answers()).collect()
        } else if ply == trap.slip_ply() + 1 {
            other_refutations(&trap.slips()[0])
        } else {
            Vec::new()
        }
    }

    /// What is usually played instead of the bait.
    fn usual(&self) -> Option<Own> {
        let trap = &self.material.trap;
        let usual = &self.material.report.figures.usual;
        let (san, ply) = (usual.san.as_ref()?, trap.bait_ply()?);
        let mut line = trap.line().first(ply);
        line.play_written(san).ok()?;
        let bait = self.words.san(&numbered(trap.line(), ply));
        let edge = markup(&usual.edge, Unit::Edge, self.words);
        Some(Own::new(&line, ply, Some(text_of(&self.words.pgn_usual(bait, edge)))))
    }

    /// The victim's other answers, each with the usual reply.
    fn answers(&self) -> Vec<Own> {
        let words = self.words;
        let told = |answer: &OtherAnswer| {
            let row = &self.material.victims.moves[answer.row];
            let told = words.pgn_other(
                words.of_whom[self.sentences().who(true)],
                self.lesson.question.filter,
                counted(&row.share, Unit::Percent, words),
                self.material.trap.setter(),
                markup(&row.edge, Unit::EdgeTurned, words),
            );
            let mut line = answer.line.clone();
            let ply = line.len() - 1;
            let reply = answer.replies.moves.first();
            let reply = reply.filter(|reply| line.play_written(&reply.uci).is_ok()).map(|reply| {
                let share = counted(&reply.share, Unit::Percent, words);
                let mut said = text_of(&words.pgn_usual_reply(share));
                if answer.left_worse.contains(&reply.uci) {
                    said += &format!(" {}.", capital(words.reply_worse));
                }
                let comment = Some(said);
                Next { san: line.san(ply + 1), refutes: false, comment, beside: Vec::new() }
            });
            Own {
                behind: reply.into_iter().collect(),
                ..Own::new(&line, ply, Some(text_of(&told)))
            }
        };
        self.material.answers.iter().map(told).collect()
    }

    /// The other slips with all that refutes them.
    fn other_slips(&self) -> Vec<Own> {
        let slips = self.material.report.slips.iter().flat_map(|slips| &slips.moves);
        let pairs = self.material.trap.slips().iter().zip(slips).skip(1);
        let told = |(slip, known): (&MarkedSlip, &Slip)| {
            let (line, refutation) = (slip.line(), slip.ply_after());
            let who = self.words.of_whom[self.sentences().who(true)];
            let share = counted(&known.share, Unit::Percent, self.words);
            let comment = text_of(&self.words.remark_slip(who, self.lesson.question.filter, share));
            let next = |ply: usize| {
                let refutes = ply == refutation;
                let beside = if refutes { other_refutations(slip) } else { Vec::new() };
                Next { san: line.san(ply), refutes, comment: None, beside }
            };
            let behind = (refutation..line.len()).map(next);
            Own {
                slip: true,
                behind: behind.collect(),
                ..Own::new(line, refutation - 1, Some(comment))
            }
        };
        pairs.map(told).collect()
    }
}

/// A variation of ours.
struct Own {
    ply: usize,
    san: String,
    slip: bool,
    comment: Option<String>,
    behind: Vec<Next>,
}

/// A move behind the first one: with a mark, a comment and variations beside it.
struct Next {
    san: String,
    refutes: bool,
    comment: Option<String>,
    beside: Vec<Own>,
}

impl Own {
    fn new(line: &Line, ply: usize, comment: Option<String>) -> Own {
        Own { ply, san: line.san(ply), slip: false, comment, behind: Vec::new() }
    }

    fn write(self, out: &mut Movetext) {
        out.open();
        out.written(self.ply, &self.san);
        if self.slip {
            out.word("$4");
        }
        self.comment.iter().for_each(|comment| out.comment(comment));
        for (place, next) in self.behind.into_iter().enumerate() {
            out.written(self.ply + 1 + place, &next.san);
            if next.refutes {
                out.word("$1");
            }
            next.comment.iter().for_each(|comment| out.comment(comment));
            next.beside.into_iter().for_each(|own| own.write(out));
        }
        out.close();
    }
}

/// Further refutations of a slip, as variations.
fn other_refutations(slip: &MarkedSlip) -> Vec<Own> {
    let variation = |&mv: &Move| {
        let mut line = slip.line().first(slip.ply_after());
        line.play(mv);
        Own::new(&line, slip.ply_after(), None)
    };
    slip.refutations()[1..].iter().map(variation).collect()
}

/// What another game of the text wrote about the same position, in one comment.
fn spelled(script: &Script) -> String {
    fn moves(of: &[WrittenMove]) -> String {
        let one = |mv: &WrittenMove| {
            let number = match mv.ply.is_multiple_of(2) {
                true => format!("{}.", mv.ply / 2 + 1),
                false => String::new(),
            };
            let marks: String = mv.marks.iter().map(|mark| glyph(mark)).collect();
            let said: String =
                mv.before.iter().chain(&mv.comments).map(|said| format!(" {said}")).collect();
            let beside: String =
                mv.variations.iter().map(|variation| format!(" ({})", moves(variation))).collect();
            format!("{number}{}{marks}{said}{beside}", mv.san)
        };
        of.iter().map(one).collect::<Vec<_>>().join(" ")
    }
    let before: String = script.before.iter().map(|said| format!("{said} ")).collect();
    before + &moves(&script.moves)
}
