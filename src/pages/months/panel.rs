//! One figure over several stores: a dot with a whisker for each, on a scale of its own from 0.
//!
//! Black and without colours, so that it can be printed and copied; the words come from
//! who draws it.

use maud::{Markup, html};

use crate::answers::Figure;
use crate::answers::months::StoreMonth;
use crate::pages::svg::at;

/// Size of a panel, and the room around its axes.
pub const PANEL: (f64, f64) = (230.0, 122.0);
const LEFT: f64 = 46.0;
const TOP: f64 = 28.0;
const BOTTOM: f64 = 26.0;

/// A panel to be drawn.
pub struct Panel<'a> {
    /// What the figure is, with its unit.
    pub name: String,
    /// Every figure in words.
    pub words: String,
    /// What is in place of figures of too few games.
    pub few: &'a str,
    /// Whether the figure is a share, which is drawn in percent.
    pub share: bool,
    /// The stores in the order of their dates, and the figure in each.
    pub stores: &'a [StoreMonth],
    pub figures: &'a [Figure],
    /// How a number and a date are written.
    pub number: &'a dyn Fn(f64) -> String,
    pub date: &'a dyn Fn(&StoreMonth) -> String,
}

impl Panel<'_> {
    /// The panel with its upper left corner at the origin.
    pub fn drawn(&self) -> Markup {
        let highs = self.figures.iter().filter_map(|figure| figure.high.or(figure.value));
        let top = ceiling(highs.fold(0.0, f64::max), self.share);
        let (width, height) = (PANEL.0 - LEFT - 14.0, PANEL.1 - TOP - BOTTOM);
        let span = self.stores.last().map_or(1.0, |store| store.month).max(1e-9);
        let x = |store: &StoreMonth| at(LEFT + 12.0 + (width - 24.0) * store.month / span);
        let y = |value: f64| at(TOP + height * (1.0 - (value / top).clamp(0.0, 1.0)));
        html! {
            g role="img" aria-label=(format!("{}. {}", self.name, self.words)) {
                title { (self.name) ". " (self.words) }
                text x=(at(LEFT)) y=(at(TOP - 12.0)) font-size="13" { (self.name) }
                @if self.figures.iter().all(|figure| figure.low.is_none()) {
                    text x=(at(LEFT)) y=(at(TOP + height / 2.0)) font-size="12" font-style="italic" { (self.few) }
                } @else {
                    @for value in [0.0, top] {
                        line x1=(at(LEFT)) x2=(at(LEFT + width)) y1=(y(value)) y2=(y(value)) stroke="#000" stroke-width="0.6" {}
                        text x=(at(LEFT - 6.0)) y=(at(y(value) + 4.0)) font-size="12" text-anchor="end" {
                            ((self.number)(scaled(value, self.share)))
                        }
                    }
                    @for (place, (store, figure)) in self.stores.iter().zip(self.figures).enumerate() {
                        (whisker(x(store), figure, y))
                        // The first and the last date are told; more would collide.
                        @if place == 0 || place + 1 == self.stores.len() {
                            text x=(x(store)) y=(at(TOP + height + 18.0)) font-size="12" text-anchor="middle" {
                                ((self.date)(store))
                            }
                        }
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

/// The end of a scale: 1, 2 or 5 times a power of ten, a share at most 1.
fn ceiling(high: f64, share: bool) -> f64 {
    if high <= 0.0 {
        return 1.0;
    }
    let power = 10f64.powf(high.log10().floor());
    let steps = [1.0, 2.0, 5.0, 10.0].map(|step| step * power);
    let top = steps.into_iter().find(|&step| step >= high * (1.0 - 1e-9)).unwrap_or(10.0 * power);
    if share { top.min(1.0) } else { top }
}

fn scaled(value: f64, share: bool) -> f64 {
    let value = if share { 100.0 * value } else { value };
    (value * 1000.0).round() / 1000.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_scale_ends_at_a_round_number() {
        let ends = [0.031, 0.6, 0.051, 0.0].map(|high| scaled(ceiling(high, true), true));
        assert_eq!(ends, [5.0, 100.0, 10.0, 100.0]);
        assert_eq!(ceiling(23.5, false), 50.0);
    }
}
