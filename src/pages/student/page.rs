//! The page for the student, in the manner of a lesson: one file without script, network or picture.

use maud::{Markup, html};

use super::phrases::{left_out, taken};
use super::sections::{Words, habits, lines, things, traps};
use super::you::{JUDGED_BY, level, spans};
use crate::answers::student::StudentAnswer;
use crate::pages::languages::ENGLISH;
use crate::pages::lesson::{Basis, frame, name_of};

/// The page as a text. Opponents are named nowhere.
pub fn page(answer: &StudentAnswer, basis: &Basis) -> String {
    let words = &Words { answer, language: &ENGLISH };
    let name = name_of(&answer.name);
    let title = format!("{name}: what your games say");
    let body = html! {
        header {
            h1 { bdi { (name) } ": what your games say" }
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
    frame(&title, &body, &ENGLISH).into_string() + "\n"
}

/// What the level's figures were counted from.
fn counted_from(words: &Words<'_>, basis: &Basis) -> String {
    let language = words.language;
    format!(
        "{} of your games, held against {} rated games, {}; players {}.",
        language.count(words.answer.games.taken()),
        language.count(basis.games),
        basis.months(language),
        language.level(words.answer.filter()),
    )
}

fn read(words: &Words<'_>) -> Markup {
    let games = &words.answer.games;
    html! {
        section.notes {
            h2 { "What was read" }
            ul {
                li { (taken(games)) }
                @for said in left_out(games) { li { (said) } }
                @if let Some(said) = spans(games) { li { (said) } }
                li { (level(words.answer)) }
            }
        }
    }
}

fn notes(words: &Words<'_>) -> Markup {
    html! {
        section.notes {
            h2 { (words.language.notes_heading) }
            ul {
                li { (JUDGED_BY) }
                @for note in words.language.notes { li { (note) } }
            }
        }
    }
}
