//! The figures of the traps in several stores, beside each other.

use maud::{Markup, html};

use super::figure::{Unit, counted};
use super::{Lesson, title};
use crate::answers::months::{Change, TrapMonths, Turn};
use crate::pages::languages::{Language, text_of};
use crate::pages::months::{PANEL, Panel};
use crate::pages::svg::at;

/// Rows of panels that a printed page holds, and so few that they leave room for the quiz.
const ROWS: usize = 7;
const FEW: usize = 3;

/// A row of panels for each trap with what surely changes; nothing if only one store was asked.
pub(super) fn months(lesson: &Lesson, words: &Language) -> Markup {
    let ends = [lesson.stores.first(), lesson.stores.last()];
    let [Some(first), Some(last)] = ends else { return Markup::default() };
    let [first, last] =
        [first, last].map(|store| words.months_of(Some(&store.first), Some(&store.first)));
    html! {
        section.over aria-labelledby="over" {
            h2 id="over" { (words.over) }
            p { (words.over_caption(&first, &last)) }
            @for (index, trap) in lesson.traps.iter().enumerate() {
                @if let Some(over) = &trap.months { (row(lesson, index + 1, &title(trap, words), over, words)) }
            }
        }
    }
}

/// Whether they leave so much of their last page empty that the quiz follows at once.
pub(super) fn leave_room(lesson: &Lesson) -> bool {
    !lesson.stores.is_empty() && (1..=FEW).contains(&(lesson.traps.len() % ROWS))
}

fn row(lesson: &Lesson, number: usize, title: &str, over: &TrapMonths, words: &Language) -> Markup {
    let shown = shown(over, words);
    let width = PANEL.0 * shown.len() as f64;
    let name = format!("{number}. {title}");
    html! {
        section.part {
            h3 { (number) ". " bdi { (title) } }
            figure.months {
                div.scroll tabindex="0" role="group" aria-label=(name) {
                    svg viewBox=(format!("0 0 {} {}", at(width), at(PANEL.1))) role="img" aria-label=(name) {
                        rect width=(at(width)) height=(at(PANEL.1)) fill="#fff" {}
                        @for (place, (name, unit, change)) in shown.iter().enumerate() {
                            g transform=(format!("translate({} 0)", at(place as f64 * PANEL.0))) {
                                (panel(lesson, name, *unit, change, words))
                            }
                        }
                    }
                }
                figcaption { (turns(&shown, words)) }
            }
        }
    }
}

type Shown<'a> = (&'static str, Unit, &'a Change);

fn shown<'a>(over: &'a TrapMonths, words: &Language) -> [Shown<'a>; 4] {
    [
        (words.over_comes_up, Unit::Percent, &over.occurrence),
        (words.over_slip, Unit::Percent, &over.slip_rate),
        (words.over_refute, Unit::Percent, &over.find_rate),
        (words.over_slips, Unit::Number, &over.slips_per_1000),
    ]
}

fn panel(lesson: &Lesson, name: &str, unit: Unit, change: &Change, words: &Language) -> Markup {
    let month = |date: &str| words.months_of(Some(date), Some(date));
    let told = lesson.stores.iter().zip(&change.by_store).map(|(store, figure)| {
        let figure = text_of(&counted(figure, unit, words));
        format!("{}{}{figure}", month(&store.first), words.colon)
    });
    let share = unit == Unit::Percent;
    let panel = Panel {
        name: if share { format!("{name} (%)") } else { name.to_owned() },
        words: told.collect::<Vec<_>>().join(words.semicolon),
        few: words.too_few_to_tell,
        share,
        stores: &lesson.stores,
        figures: &change.by_store,
        number: &|value| words.fixed(value, decimals(value)),
        date: &|store| month(&store.first),
    };
    panel.drawn()
}

/// Of a round number.
fn decimals(value: f64) -> usize {
    (0..3).find(|&digits| (value * 10f64.powi(digits)).fract() == 0.0).unwrap_or(3) as usize
}

/// What surely changes.
fn turns(shown: &[Shown<'_>], words: &Language) -> Markup {
    let of = |turn: Turn| -> Vec<&str> {
        shown.iter().filter(|(.., change)| change.turn == turn).map(|(name, ..)| *name).collect()
    };
    let (rising, falling) = (of(Turn::Rises), of(Turn::Falls));
    html! {
        @if !rising.is_empty() { (words.over_rises(&words.list(&rising))) " " }
        @if !falling.is_empty() { (words.over_falls(&words.list(&falling))) " " }
        @if rising.is_empty() && falling.is_empty() { (words.over_unclear) }
    }
}
