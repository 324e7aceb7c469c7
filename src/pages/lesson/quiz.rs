//! The quiz, one position a trap, and its solutions on a page of their own.

use maud::{Markup, html};

use super::diagram::Diagram;
use super::figure::{Unit, counted};
use super::text::{fill, fill_markup, plain};
use super::words::Language;
use super::{Lesson, numbered, title};
use crate::answers::lesson::Material;
use crate::terms::Key;

/// The traps in another order than they were taught, always the same, with their numbers there.
fn mixed(lesson: &Lesson) -> Vec<(usize, &Material)> {
    let mut traps: Vec<_> =
        lesson.traps.iter().enumerate().map(|(index, trap)| (index + 1, trap)).collect();
    traps.sort_by_key(|(number, trap)| (Key::of(trap.trap.position_after_slip()), *number));
    traps
}

/// The positions after the slips.
pub(super) fn quiz(lesson: &Lesson, words: &Language) -> Markup {
    html! {
        section.quiz aria-labelledby="quiz" {
            h2 id="quiz" { (words.quiz) }
            p { (words.quiz_intro) }
            ol.questions {
                @for (_, material) in mixed(lesson) { (question(material, words)) }
            }
        }
    }
}

fn question(material: &Material, words: &Language) -> Markup {
    let trap = &material.trap;
    let played = [
        ("side", words.side(trap.victim()).to_owned()),
        ("move", numbered(trap.line(), trap.slip_ply())),
    ];
    let ask = [("side", words.side(trap.setter()).to_owned())];
    html! {
        li {
            figure {
                (Diagram::after(trap.position_after_slip(), Some(trap.slip())).figure(words))
                figcaption {
                    b { (fill(words.quiz_ask, &ask)) } ". " (fill(words.last_moved, &played))
                }
            }
            p.write { (words.your_move) " " span.rule {} }
        }
    }
}

/// The refutations.
pub(super) fn solutions(lesson: &Lesson, words: &Language) -> Markup {
    html! {
        section.solutions aria-labelledby="solutions" {
            h2 id="solutions" { (words.solutions) }
            ol {
                @for (number, material) in mixed(lesson) { (solution(lesson, number, material, words)) }
            }
        }
    }
}

fn solution(lesson: &Lesson, number: usize, material: &Material, words: &Language) -> Markup {
    let (trap, figures) = (&material.trap, &material.report.figures);
    let from = trap.slip_ply() + 1;
    let found = figures.find_rate.low.map(|_| {
        let values = [
            ("share", counted(&figures.find_rate, Unit::Percent, words)),
            ("level", plain(&words.level(lesson.question.filter))),
            ("move", plain(&trap.line().san(from))),
        ];
        fill_markup(words.solution_find, &values)
    });
    let see = fill(words.see_trap, &[("number", number.to_string())]);
    html! {
        li {
            b { (trap.line().text(from..trap.line().len())) }
            ". " @if let Some(found) = found { (found) " " }
            a href=(format!("#trap-{number}")) { (see) } ": " bdi { (title(material)) } "."
        }
    }
}
