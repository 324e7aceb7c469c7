//! The quiz, one position a slip, and its solutions on a page of their own.

use maud::{Markup, html};

use super::diagram::Diagram;
use super::figure::{Unit, counted};
use super::text::{fill, fill_markup, plain};
use super::words::Language;
use super::{Lesson, numbered, refuting, title};
use crate::answers::lesson::Material;
use crate::lines::MarkedSlip;
use crate::terms::Key;

/// A question: what to play after a slip.
struct Question<'a> {
    /// The trap's place in the lesson.
    number: usize,
    material: &'a Material,
    /// Which of the trap's slips.
    place: usize,
    slip: &'a MarkedSlip,
}

/// The slips in another order than they were taught, always the same.
fn mixed(lesson: &Lesson) -> Vec<Question<'_>> {
    let mut questions: Vec<Question<'_>> = Vec::new();
    for (index, material) in lesson.traps.iter().enumerate() {
        let slips = material.trap.slips().iter().enumerate();
        let of = |(place, slip)| Question { number: index + 1, material, place, slip };
        questions.extend(slips.map(of));
    }
    questions.sort_by_key(|one| (Key::of(one.slip.position_after()), one.number));
    questions
}

/// The positions after the slips.
pub(super) fn quiz(lesson: &Lesson, words: &Language) -> Markup {
    html! {
        section.quiz aria-labelledby="quiz" {
            h2 id="quiz" { (words.quiz) }
            p { (words.quiz_intro) }
            ol.questions {
                @for one in mixed(lesson) { (question(&one, words)) }
            }
        }
    }
}

fn question(one: &Question<'_>, words: &Language) -> Markup {
    let (trap, slip) = (&one.material.trap, one.slip);
    let played = [
        ("side", words.side(trap.victim()).to_owned()),
        ("move", numbered(slip.line(), trap.slip_ply())),
    ];
    let ask = [("side", words.side(trap.setter()).to_owned())];
    html! {
        li {
            figure {
                (Diagram::after(slip.position_after(), Some(slip.slip())).figure(words))
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
                @for one in mixed(lesson) { (solution(lesson, &one, words)) }
            }
        }
    }
}

fn solution(lesson: &Lesson, one: &Question<'_>, words: &Language) -> Markup {
    let Question { number, material, place, slip } = *one;
    let report = &material.report;
    let (line, from) = (slip.line(), slip.ply_after());
    // Of several slips each has its own.
    let own = report.slips.as_ref().and_then(|slips| slips.moves.get(place));
    let rate = own.map_or(&report.figures.find_rate, |slip| &slip.find_rate);
    let moves = refuting(slip);
    let found = rate.low.map(|_| {
        let values = [
            ("share", counted(rate, Unit::Percent, words)),
            ("level", plain(&words.level(lesson.question.filter))),
            ("move", plain(&words.either(&moves))),
        ];
        fill_markup(words.solution_find, &values)
    });
    let also = (moves.len() > 1).then(|| words.either(&moves[1..]));
    let see = fill(words.see_trap, &[("number", number.to_string())]);
    html! {
        li {
            b { (line.text(from..line.len())) }
            ". " @if let Some(also) = also { (fill(words.solution_also, &[("moves", also)])) " " }
            @if let Some(found) = found { (found) " " }
            a href=(format!("#trap-{number}")) { (see) } ": " bdi { (title(material)) } "."
        }
    }
}
