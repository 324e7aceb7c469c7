//! A small chart of each trap over the stores: a dot with a whisker for each, the figures beside each other.
//!
//! Black on white and without colours, so that it can be printed and copied; each panel has its own scale from 0, and its numbers
//! as alternative text.

use maud::{Markup, PreEscaped, html};

use crate::answers::Figure;
use crate::answers::months::{Change, MonthsAnswer, StoreMonth, TrapMonths};
use crate::pages::figures::Unit;
use crate::pages::svg::{XML, at};
use crate::pages::words::clean;

/// Size of a panel, and the room around its axes.
const PANEL: (f64, f64) = (230.0, 150.0);
const LEFT: f64 = 46.0;
const TOP: f64 = 34.0;
const BOTTOM: f64 = 26.0;
/// Height of the line with the trap's name.
const NAME: f64 = 30.0;

/// What a panel shows.
type Panel = (&'static str, Unit, fn(&TrapMonths) -> &Change);

/// What is drawn of a trap.
const PANELS: [Panel; 4] = [
    ("comes up", Unit::Share, |trap| &trap.occurrence),
    ("slip", Unit::Share, |trap| &trap.slip_rate),
    ("refute", Unit::Share, |trap| &trap.find_rate),
    ("slips per 1000", Unit::Number, |trap| &trap.slips_per_1000),
];

/// The picture as a file of its own.
pub fn chart(answer: &MonthsAnswer) -> String {
    let row = NAME + PANEL.1;
    let (width, height) =
        (PANEL.0 * PANELS.len() as f64, row * answer.traps.len().max(1) as f64 + 8.0);
    let picture = html! {
        (PreEscaped(XML))
        svg xmlns="http://www.w3.org/2000/svg" viewBox=(format!("0 0 {} {}", at(width), at(height)))
            width=(at(width)) height=(at(height)) role="img" font-family="sans-serif" {
            title { "Traps over " (answer.stores.len()) " stores" }
            rect width=(at(width)) height=(at(height)) fill="#fff" {}
            @for (place, trap) in answer.traps.iter().enumerate() {
                g transform=(format!("translate(0 {})", at(place as f64 * row))) {
                    (of_trap(&answer.stores, trap))
                }
            }
        }
    };
    picture.into_string() + "\n"
}

/// The panels of a trap in a row, its name above them.
fn of_trap(stores: &[StoreMonth], trap: &TrapMonths) -> Markup {
    html! {
        text x="8" y="20" font-size="15" font-weight="bold" { (clean(&trap.name)) }
        @for (place, (name, unit, of)) in PANELS.into_iter().enumerate() {
            g transform=(format!("translate({} {})", at(place as f64 * PANEL.0), at(NAME))) {
                (panel(stores, name, unit, of(trap)))
            }
        }
    }
}

fn panel(stores: &[StoreMonth], name: &str, unit: Unit, change: &Change) -> Markup {
    let highs = change.by_store.iter().filter_map(|figure| figure.high.or(figure.value));
    let top = ceiling(highs.fold(0.0, f64::max), unit);
    let (width, height) = (PANEL.0 - LEFT - 14.0, PANEL.1 - TOP - BOTTOM);
    let span = stores.last().map_or(1.0, |store| store.month).max(1e-9);
    let x = |store: &StoreMonth| at(LEFT + 12.0 + (width - 24.0) * store.month / span);
    let y = |value: f64| at(TOP + height * (1.0 - (value / top).clamp(0.0, 1.0)));
    let words = stores
        .iter()
        .zip(&change.by_store)
        .map(|(store, figure)| format!("{}: {}", store.first, unit.view(figure).said()));
    let words = words.collect::<Vec<_>>().join("; ");
    html! {
        g role="img" aria-label=(format!("{name}. {words}")) {
            title { (name) ". " (words) }
            text x=(at(LEFT)) y=(at(TOP - 12.0)) font-size="13" { (name) @if unit.is_share() { ", %" } }
            @if change.by_store.iter().all(|figure| figure.low.is_none()) {
                text x=(at(LEFT)) y=(at(TOP + height / 2.0)) font-size="12" font-style="italic" { "too few games" }
            } @else {
            @for (value, label) in [(0.0, written(0.0, unit)), (top, written(top, unit))] {
                line x1=(at(LEFT)) x2=(at(LEFT + width)) y1=(y(value)) y2=(y(value)) stroke="#000" stroke-width="0.6" {}
                text x=(at(LEFT - 6.0)) y=(at(y(value) + 4.0)) font-size="12" text-anchor="end" { (label) }
            }
            @for (place, (store, figure)) in stores.iter().zip(&change.by_store).enumerate() {
                (whisker(x(store), figure, y))
                // The first and the last date are told; more would collide.
                @if place == 0 || place + 1 == stores.len() {
                    text x=(x(store)) y=(at(TOP + height + 18.0)) font-size="12" text-anchor="middle" { (month(store)) }
                }
            }
            }
        }
    }
}

/// An interval as a stroke with ends, the value as a dot; a thin share has no dot.
fn whisker(x: f64, figure: &Figure, y: impl Fn(f64) -> f64) -> Markup {
    html! {
        @if let Some((low, high)) = figure.low.zip(figure.high) {
            path d=(format!("M{x} {}V{}M{} {}h8M{} {}h8", y(low), y(high), at(x - 4.0), y(low), at(x - 4.0), y(high)))
                stroke="#000" fill="none" {}
        }
        @if let Some(value) = figure.value {
            circle cx=(x) cy=(y(value)) r="4" {}
        }
    }
}

/// `2031-05`.
fn month(store: &StoreMonth) -> String {
    store.first.chars().take(7).collect()
}

/// The end of a scale: 1, 2 or 5 times a power of ten, a share at most 1.
fn ceiling(high: f64, unit: Unit) -> f64 {
    if high <= 0.0 {
        return 1.0;
    }
    let power = 10f64.powf(high.log10().floor());
    let steps = [1.0, 2.0, 5.0, 10.0].map(|step| step * power);
    let top = steps.into_iter().find(|&step| step >= high * (1.0 - 1e-9)).unwrap_or(10.0 * power);
    if unit.is_share() { top.min(1.0) } else { top }
}

fn written(value: f64, unit: Unit) -> String {
    let value = if unit.is_share() { 100.0 * value } else { value };
    format!("{}", (value * 1000.0).round() / 1000.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_scale_ends_at_a_round_number() {
        let ends = [0.031, 0.6, 0.051, 0.0].map(|high| ceiling(high, Unit::Share));
        assert_eq!(ends.map(|end| written(end, Unit::Share)), ["5", "100", "10", "100"]);
        assert_eq!(written(ceiling(23.5, Unit::Number), Unit::Number), "50");
    }
}
