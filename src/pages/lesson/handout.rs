//! What goes into the pupils' hands: the quiz, and on another page the lines, with one diagram and
//! one sentence each.

use std::io::{self, Write};

use maud::{Markup, html};

use super::advice::worse;
use super::diagram::Diagram;
use super::line::bare;
use super::page::{frame, heading};
use super::quiz::{Question, quiz};
use super::text::plain;
use super::victim::written;
use super::{Lesson, better, numbered, refuting, title};
use crate::answers::lesson::Material;
use crate::answers::trap::{AdviceCode, SoundnessCode};
use crate::pages::languages::{Language, capital};

/// Writes the handout.
pub fn handout<W: Write>(mut out: W, lesson: &Lesson, words: &Language) -> io::Result<()> {
    let title = heading(lesson, words);
    let content = html! {
        header { h1 { bdi { (title) } } p.kicker { (words.handout_title) } }
        main.handout {
            (quiz(lesson, false, Some(columns(Question::all(lesson).len())), words))
            section.keep aria-labelledby="keep" {
                h2 id="keep" { (words.after_quiz) }
                div.cards {
                    @for (index, trap) in lesson.traps.iter().enumerate() {
                        (entry(lesson, index + 1, trap, words))
                    }
                }
            }
        }
    };
    out.write_all(frame(&title, &content, words).into_string().as_bytes())?;
    out.write_all(b"\n")
}

/// The style of so many questions: one or two are large, others stand in two columns or three,
/// whichever leaves less of the last page before the lines empty. A page has three rows.
fn columns(questions: usize) -> &'static str {
    let rows = |columns: usize| (questions.div_ceil(columns) - 1) % 3;
    match questions {
        0..=2 => "large",
        _ if rows(3) > rows(2) => "small",
        _ => "",
    }
}

fn entry(lesson: &Lesson, number: usize, material: &Material, words: &Language) -> Markup {
    let trap = &material.trap;
    let (line, ply) = (trap.line(), trap.slip_ply());
    let last = trap.bait_ply().map(|ply| line.moves()[ply]);
    let bottom = lesson.bottom(trap);
    html! {
        section.entry aria-labelledby=(format!("trap-{number}")) {
            h2 id=(format!("trap-{number}")) { (number) ". " bdi { (title(material, words)) } }
            (Diagram { bottom, ..Diagram::after(line.position(ply), last) }.figure(words))
            p.line { (bare(trap, words)) }
            p.small { (words.in_quiz(&words.list(&Question::about(lesson, number)))) }
            p.remember { strong { (remember(lesson, material, words)) } }
            @if let Some(said) = besides(lesson, material, words) { p.small { (said) } }
        }
    }
}

/// What the teacher's advice comes to for those who lay it.
fn besides(lesson: &Lesson, material: &Material, words: &Language) -> Option<Markup> {
    let (trap, report) = (&material.trap, &material.report);
    if lesson.for_victims {
        return None;
    }
    let without = report.soundness.without_slip.map_or(0.0, |grounds| grounds.cp / 100.0);
    let open = match report.soundness.verdict {
        SoundnessCode::NoSlip => Some(plain(words.not_lost)),
        SoundnessCode::Gamble => {
            Some(words.no_sure_thing(trap.setter(), &words.signed(without, 1)))
        }
        SoundnessCode::Sound | SoundnessCode::Unknown => None,
    };
    let worse = worse(material, open.is_some(), words);
    let loses_points = report.is_not_to_lay() && !report.soundness.stands_worse();
    let less = loses_points.then(|| html! { (capital(words.against_gain)) "." });
    let warn = report.advice.codes.contains(&AdviceCode::Warn).then(|| {
        let slip = words.san(&numbered(trap.line(), trap.slip_ply()));
        let before = trap.line().first(trap.slip_ply());
        match better(material).map(|row| words.san(&written(&before, row))) {
            Some(better) => words.beware_better(trap.victim(), better, slip),
            None => words.beware(trap.victim(), slip),
        }
    });
    let said: Vec<String> =
        open.into_iter().chain(worse).chain(less).chain(warn).map(Markup::into_string).collect();
    (!said.is_empty()).then(|| maud::PreEscaped(said.join(" ")))
}

/// The sentence to remember.
fn remember(lesson: &Lesson, material: &Material, words: &Language) -> Markup {
    let trap = &material.trap;
    let slip = words.san(&numbered(trap.line(), trap.slip_ply()));
    let reply = words.san(&refuting(&trap.slips()[0])[0]);
    let soundness = &material.report.soundness;
    if !lesson.for_victims {
        return match soundness.slip_loses {
            Some(_) => words.remember(slip, reply),
            None => words.remember_unsure(slip, reply),
        };
    }
    if soundness.verdict == SoundnessCode::NoSlip {
        return plain(words.not_lost);
    }
    if soundness.slip_loses.is_none() {
        return words.remember_open(slip, reply);
    }
    let before = trap.line().first(trap.slip_ply());
    match better(material).map(|row| words.san(&written(&before, row))) {
        Some(better) => words.remember_victim_better(slip, reply, better),
        None => words.remember_victim(slip, reply),
    }
}
