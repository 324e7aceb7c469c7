//! The figures of a trap in several stores, beside each other.

use maud::{Markup, html};

use super::Lesson;
use super::figure::{Unit, counted};
use crate::answers::lesson::Material;
use crate::answers::months::{Change, TrapMonths, Turn};
use crate::pages::languages::{Language, text_of};
use crate::pages::months::{PANEL, Panel};
use crate::pages::svg::at;

/// The panels with what surely changes; nothing if only one store was asked.
pub(super) fn months(lesson: &Lesson, material: &Material, words: &Language) -> Markup {
    let Some(over) = &material.months else { return Markup::default() };
    let shown = shown(over, words);
    let ends = [lesson.stores.first(), lesson.stores.last()]
        .map(|store| store.map_or("", |store| &store.first));
    let [first, last] = ends.map(|date| words.months_of(Some(date), Some(date)));
    let width = PANEL.0 * shown.len() as f64;
    html! {
        section.part {
            h3 { (words.over) }
            figure.months {
                div.scroll tabindex="0" role="group" aria-label=(words.over) {
                    svg viewBox=(format!("0 0 {} {}", at(width), at(PANEL.1))) role="img" aria-label=(words.over) {
                        rect width=(at(width)) height=(at(PANEL.1)) fill="#fff" {}
                        @for (place, (name, unit, change)) in shown.iter().enumerate() {
                            g transform=(format!("translate({} 0)", at(place as f64 * PANEL.0))) {
                                (panel(lesson, name, *unit, change, words))
                            }
                        }
                    }
                }
                figcaption { (turns(&shown, words)) " " (words.over_caption(&first, &last)) }
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
