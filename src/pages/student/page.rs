//! The page for the student, in the manner of a lesson: one file without script,
//! network or picture.

use maud::{Markup, html};

use super::phrases::{left_out, level, spans, taken};
use super::sections::{Page, habits, lines, things, traps};
use crate::answers::student::StudentAnswer;
use crate::pages::languages::{Language, text_of};
use crate::pages::lesson::{Basis, frame, name_of};

/// The page as a text. Opponents are named nowhere.
pub fn page(answer: &StudentAnswer, basis: &Basis, language: &Language) -> String {
    let page = &Page { answer, language };
    let name = name_of(&answer.name);
    let heading = language.page_of(html! { bdi { (name) } });
    let body = html! {
        header {
            h1 { (heading) }
            p.kicker { (counted_from(page, basis)) }
        }
        main {
            (things(page))
            (habits(page))
            (traps(page))
            (lines(page))
            (read(page))
            (notes(page))
        }
    };
    frame(&text_of(&heading), &body, language).into_string() + "\n"
}

/// What the level's figures were counted from.
fn counted_from(page: &Page<'_>, basis: &Basis) -> Markup {
    let months = basis.months(page.language);
    let (own, level) = (page.answer.games.taken(), page.answer.filter());
    page.language.held_against(own, basis.games, &months, level)
}

fn read(page: &Page<'_>) -> Markup {
    let (games, language) = (&page.answer.games, page.language);
    html! {
        section.notes {
            h2 { (language.student.games_read) }
            ul {
                li { (taken(games, language)) }
                @for said in left_out(games, language) { li { (said) } }
                @if let Some(said) = spans(games, language) { li { (said) } }
                li { (level(page.answer, language)) }
            }
        }
    }
}

fn notes(page: &Page<'_>) -> Markup {
    html! {
        section.notes {
            h2 { (page.language.notes_heading) }
            ul {
                li { (page.language.student.own_results) }
                @for note in page.language.notes { li { (note) } }
            }
        }
    }
}
