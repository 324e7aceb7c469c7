//! A small chart of each trap over the stores: a dot with a whisker for each, the figures
//! beside each other.
//!
//! Black on white and without colours, so that it can be printed and copied; each panel has its own
//! scale from 0, and its numbers as alternative text.

use maud::{Markup, PreEscaped, html};

use super::panel::{PANEL, Panel};
use super::table::{FIGURES, MonthFigure};
use crate::answers::months::{Change, MonthsAnswer, StoreMonth, TrapMonths};
use crate::pages::svg::{XML, at};
use crate::pages::words::clean;

/// Height of the line with the trap's name.
const NAME: f64 = 30.0;

/// The picture as a file of its own.
pub fn chart(answer: &MonthsAnswer) -> String {
    let row = NAME + PANEL.1;
    let (width, height) =
        (PANEL.0 * FIGURES.len() as f64, row * answer.traps.len().max(1) as f64 + 8.0);
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
        @for (place, figure) in FIGURES.iter().enumerate() {
            g transform=(format!("translate({} {})", at(place as f64 * PANEL.0), at(NAME))) {
                (panel(stores, figure, (figure.of)(trap)))
            }
        }
    }
}

fn panel(stores: &[StoreMonth], row: &MonthFigure, change: &Change) -> Markup {
    let words = stores
        .iter()
        .zip(&change.by_store)
        .map(|(store, figure)| format!("{}: {}", store.first, row.unit.view(figure).said()));
    let panel = Panel {
        name: row.drawn.to_owned(),
        words: words.collect::<Vec<_>>().join("; "),
        few: "too few games",
        share: row.unit.is_share(),
        stores,
        figures: &change.by_store,
        number: &|value| value.to_string(),
        // `2031-05`.
        date: &|store| store.first.chars().take(7).collect(),
    };
    panel.drawn()
}
