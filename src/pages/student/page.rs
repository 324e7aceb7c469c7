//! The page for the student, in the manner of a lesson: one file without script, network or picture.

use maud::{Markup, html};

use super::phrases::{left_out, taken};
use super::sections::{Words, habits, lines, things, traps};
use super::you::{level, spans};
use crate::answers::student::StudentAnswer;
use crate::pages::languages::{Language, text_of};
use crate::pages::lesson::{Basis, frame, name_of};

/// The page as a text. Opponents are named nowhere.
pub fn page(answer: &StudentAnswer, basis: &Basis, language: &Language) -> String {
    let words = &Words { answer, language };
    let name = name_of(&answer.name);
    let heading = language.page_of(html! { bdi { (name) } });
    let body = html! {
        header {
            h1 { (heading) }
            p.kicker { (counted_from(words, basis)) }
        }
        main {
            (things(words))
            (habits(words))
            (traps(words))
            (lines(words))
            (read(words))
            (notes(words))
        }
    };
    frame(&text_of(&heading), &body, language).into_string() + "\n"
}

/// What the level's figures were counted from.
fn counted_from(words: &Words<'_>, basis: &Basis) -> Markup {
    let months = basis.months(words.language);
    let (own, level) = (words.answer.games.taken(), words.answer.filter());
    words.language.held_against(own, basis.games, &months, level)
}

fn read(words: &Words<'_>) -> Markup {
    let (games, language) = (&words.answer.games, words.language);
    html! {
        section.notes {
            h2 { (language.games_read) }
            ul {
                li { (taken(games, language)) }
                @for said in left_out(games, language) { li { (said) } }
                @if let Some(said) = spans(games, language) { li { (said) } }
                li { (level(words.answer, language)) }
            }
        }
    }
}

fn notes(words: &Words<'_>) -> Markup {
    html! {
        section.notes {
            h2 { (words.language.notes_heading) }
            ul {
                li { (words.language.own_results) }
                @for note in words.language.notes { li { (note) } }
            }
        }
    }
}
