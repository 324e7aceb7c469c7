//! The frame of the page: head, summary, traps, notes, quiz, solutions.

use std::io::{self, Write};

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use maud::{DOCTYPE, Markup, html};
use sha2::{Digest, Sha256};

use super::Lesson;
use super::diagram::shared_drawings;
use super::months::months;
use super::quiz::{quiz, solutions};
use super::sheet::{brief, sheet};
use super::summary::{MANY, all_beyond, reading, summary};
use super::text::name_of;
use crate::answers::lesson::Material;
use crate::answers::trap::{Code, SoundnessSource};
use crate::pages::languages::{Language, capital};
use crate::pages::patterns::shared_patterns;

/// So few traps leave room on the first page.
const FEW: usize = 3;

const STYLE: &str = include_str!("style.css");

/// Writes the page.
pub fn page<W: Write>(mut out: W, lesson: &Lesson, words: &Language) -> io::Result<()> {
    let title = heading(lesson, words);
    let [whole, briefly] = lesson.printed();
    // The notes come last, but for a lesson that would leave its first page half empty.
    let few = lesson.traps.len() <= FEW;
    let content = html! {
        (head(lesson, &title, words))
        main {
            (summary(lesson, words))
            @if few { (notes(lesson, words)) }
            @for (place, number) in whole.into_iter().enumerate() { (sheet(lesson, number, place == 0, words)) }
            @if !briefly.is_empty() {
                section.trap.briefs aria-labelledby="briefly" {
                    h2 id="briefly" {
                        @if all_beyond(lesson).is_some() {
                            (capital(&words.verdict_of(&[Code::NotCounted])))
                        } @else {
                            (words.briefly)
                        }
                    }
                    @for number in briefly { (brief(lesson, number, words)) }
                }
            }
            (months(lesson, words))
            (quiz(lesson, lesson.quiz_apart(), None, words))
            (solutions(lesson, words))
            @if !few { (notes(lesson, words)) }
        }
    };
    out.write_all(frame(&title, &content, words).into_string().as_bytes())?;
    out.write_all(b"\n")
}

/// The title of the lesson.
pub(super) fn heading(lesson: &Lesson, words: &Language) -> String {
    let title = lesson.title.as_deref().map(name_of).filter(|title| !title.is_empty());
    let usual = if lesson.for_victims { words.victim_title } else { words.title };
    title.unwrap_or_else(|| usual.to_owned())
}

/// A whole page around its body, with the style sheet and the drawings that diagrams refer to.
pub(in crate::pages) fn frame(title: &str, body: &Markup, words: &Language) -> Markup {
    html! {
        (DOCTYPE)
        html lang=(words.code) {
            head {
                meta charset="utf-8";
                meta http-equiv="Content-Security-Policy" content=(policy());
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { (title) }
                style { (maud::PreEscaped(STYLE)) }
            }
            body {
                (shared_drawings())
                (shared_patterns())
                (body)
            }
        }
    }
}

/// Nothing but the page's own style sheet.
fn policy() -> String {
    let hash = STANDARD.encode(Sha256::digest(STYLE.as_bytes()));
    format!("default-src 'none'; style-src 'sha256-{hash}'; base-uri 'none'; form-action 'none'")
}

fn head(lesson: &Lesson, title: &str, words: &Language) -> Markup {
    let named =
        |text: &Option<String>| text.as_deref().map(name_of).filter(|name| !name.is_empty());
    let basis = &lesson.basis;
    let months = basis.months(words);
    html! {
        header {
            h1 { bdi { (title) } }
            p.kicker {
                @if let Some(level) = named(&lesson.level) {
                    (words.for_whom(&level)) ". "
                }
                @if let Some(author) = named(&lesson.author) {
                    (words.by(&author)) ". "
                }
                (words.counted_from(basis.games, &months, lesson.question.filter))
            }
        }
    }
}

/// What all figures have in common, once.
fn notes(lesson: &Lesson, words: &Language) -> Markup {
    let limits = &lesson.limits;
    let any = |has: &dyn Fn(&Material) -> bool| lesson.traps.iter().any(has);
    let is_engine = |source: &SoundnessSource| matches!(source, SoundnessSource::Engine(_));
    let names: Vec<String> = limits.incomplete.iter().map(|name| name_of(name)).collect();
    html! {
        section.notes {
            @if lesson.traps.len() > MANY { (reading(lesson, words)) }
            h2 { (words.notes_heading) }
            ul {
                @if any(&|trap| !trap.report.soundness.sources.iter().any(is_engine)) { li { (words.rests_no_engine) } }
                @if any(&|trap| trap.report.figures.steered.mixed) { li { (words.rests_mixed) } }
                @for note in words.notes { li { (note) } }
                li { (words.limits(limits.half_moves.into(), limits.keep_from)) }
                @if !names.is_empty() { li { (words.incomplete(&names.join(", "))) } }
            }
        }
    }
}
