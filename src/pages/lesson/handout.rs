//! What goes into the pupils' hands: the lines, one diagram and one sentence each, and the quiz without its solutions.

use std::io::{self, Write};

use maud::{Markup, html};

use super::diagram::Diagram;
use super::line::bare;
use super::page::{frame, heading};
use super::quiz::quiz;
use super::text::fill;
use super::victim::written;
use super::words::Language;
use super::{Lesson, better, numbered, refuting, title};
use crate::answers::lesson::Material;

/// So few traps leave room for the quiz on their page.
const FEW: usize = 2;

/// Writes the handout.
///
/// # Errors
///
/// Those of `out`.
pub fn handout<W: Write>(mut out: W, lesson: &Lesson, words: &Language) -> io::Result<()> {
    let title = heading(lesson, words);
    let content = html! {
        header { h1 { bdi { (title) } } p.kicker { (words.handout_title) } }
        main.handout {
            div.cards {
                @for (index, trap) in lesson.traps.iter().enumerate() {
                    (entry(lesson, index + 1, trap, words))
                }
            }
            (quiz(lesson, lesson.traps.len() > FEW, words))
        }
    };
    out.write_all(frame(&title, &content, words).into_string().as_bytes())?;
    out.write_all(b"\n")
}

fn entry(lesson: &Lesson, number: usize, material: &Material, words: &Language) -> Markup {
    let trap = &material.trap;
    let (line, ply) = (trap.line(), trap.slip_ply());
    let last = trap.bait_ply().map(|ply| line.moves()[ply]);
    let bottom = lesson.bottom(trap);
    html! {
        section.entry aria-labelledby=(format!("trap-{number}")) {
            h2 id=(format!("trap-{number}")) { (number) ". " bdi { (title(material)) } }
            (Diagram { bottom, ..Diagram::after(line.position(ply), last) }.figure(words))
            p.line { (bare(trap)) }
            p.remember { strong { (remember(lesson, material, words)) } }
        }
    }
}

/// The sentence to remember.
fn remember(lesson: &Lesson, material: &Material, words: &Language) -> String {
    let trap = &material.trap;
    let slip = numbered(trap.line(), trap.slip_ply());
    let reply = refuting(&trap.slips()[0]).remove(0);
    let better = better(material).filter(|_| lesson.for_victims);
    let template = match (lesson.for_victims, &better) {
        (false, _) => words.remember,
        (true, None) => words.remember_victim,
        (true, Some(_)) => words.remember_victim_better,
    };
    let before = trap.line().first(trap.slip_ply());
    let better = better.map_or(String::new(), |row| written(&before, row));
    fill(template, &[("slip", slip), ("reply", reply), ("better", better)])
}
