//! The chart of slip rate and find rate over the ratings, thin bands joined.
//!
//! A bar lies over the ratings that it is about. A filled dot on an unbroken bar and an open square
//! on a broken one, with whiskers, are told apart by shape and line and not by colour; the games
//! stand below, in one row, in two by turns where one is too narrow, and turned on end where both
//! are. Ink is the page's own text colour.

use maud::{Markup, html};

use super::figure::{Unit, counted};
use super::marked;
use crate::answers::Figure;
use crate::answers::lesson::Material;
use crate::answers::trap::Stretch;
use crate::pages::icicle;
use crate::pages::languages::{Language, text_of};
use crate::pages::svg::at;
use crate::terms::BAND_WIDTH;

const WIDTH: f64 = 480.0;
const LEFT: f64 = 84.0;
const RIGHT: f64 = 12.0;
const TOP: f64 = 10.0;
const HEIGHT: f64 = 132.0;
/// Sizes of the names and of the counts, and the height of one row of counts, of two, and of
/// counts that go up.
const NAME: f64 = 15.5;
const COUNT: f64 = 14.5;
const ROWS: [f64; 3] = [20.0, 34.0, 44.0];

/// The chart, or a sentence where no game comes to the position.
pub(super) fn chart(material: &Material, sample: u64, words: &Language) -> Markup {
    let curve = &material.report.curve;
    let known = |stretches: &'_ [Stretch]| -> Vec<Stretch> {
        stretches.iter().filter(|stretch| stretch.figure.low.is_some()).cloned().collect()
    };
    let (slip, find) = (known(&curve.slip_rate), known(&curve.find_rate));
    let figures = &material.report.figures;
    let tells = |all: &[Stretch]| all.iter().any(|stretch| stretch.figure.value.is_some());
    let apart = slip.len().max(find.len()) > 1;
    // A lone whisker, or nothing but whiskers, says no more than the figure above.
    if !slip.is_empty() && !(apart && (tells(&slip) || tells(&find))) {
        let few = words.chart_few(figures.slip_rate.n, figures.find_rate.n);
        return html! { p { (few) } };
    }
    let Some(plot) = Plot::of([slip, find], words) else {
        return html! { p { (words.chart_none) } };
    };
    let [slips, finds] = if material.victim.is_some() { [1, 0] } else { [0, 1] };
    let moves = |refutations| marked(&material.trap, refutations, words);
    html! {
        figure.chart {
            div.scroll tabindex="0" role="group" aria-label=(words.by_rating) {
                svg viewBox=(format!("0 0 {WIDTH} {}", plot.height())) role="img" aria-label=(plot.alternative()) {
                    (plot.axes())
                    (plot.series(true))
                    (plot.series(false))
                    (plot.counts(true, words.who[slips]))
                    (plot.counts(false, words.who[finds]))
                }
            }
            figcaption {
                span.key { (key(true)) (words.chart_slips(moves(false))) }
                " " span.key { (key(false)) (words.chart_finds(moves(true))) }
                " " (words.chart_note(sample))
            }
        }
    }
}

/// How a row of counts is set.
#[derive(Clone, Copy)]
enum Counts {
    OneRow,
    /// One above the other by turns.
    TwoRows,
    Upward,
}

struct Plot<'a> {
    /// Of slips and of refutations.
    stretches: [Vec<Stretch>; 2],
    from: u16,
    below: u16,
    words: &'a Language,
}

impl<'a> Plot<'a> {
    fn of(stretches: [Vec<Stretch>; 2], words: &'a Language) -> Option<Plot<'a>> {
        let all = || stretches.iter().flatten();
        let from = all().map(|stretch| stretch.from).min()?;
        let below = all().map(|stretch| stretch.below).max()?;
        Some(Plot { stretches, from, below, words })
    }

    fn of_slips(&self, slip: bool) -> &[Stretch] {
        &self.stretches[usize::from(!slip)]
    }

    fn x(&self, rating: f64) -> f64 {
        let span = f64::from(self.below - self.from);
        LEFT + (WIDTH - LEFT - RIGHT) * (rating - f64::from(self.from)) / span
    }

    fn middle(&self, stretch: &Stretch) -> f64 {
        self.x(f64::from(stretch.from + stretch.below) / 2.0)
    }

    fn y(&self, share: f64) -> f64 {
        TOP + HEIGHT * (1.0 - share)
    }

    /// How the counts have room.
    fn layout(&self, slip: bool) -> Counts {
        let fits = |stretch: &Stretch, rows: f64| {
            let room = self.x(stretch.below.into()) - self.x(stretch.from.into());
            icicle::width(&self.words.count(stretch.figure.n), COUNT) <= rows * room
        };
        let fit = |rows: f64| self.of_slips(slip).iter().all(|stretch| fits(stretch, rows));
        match (fit(1.0), fit(2.0)) {
            (true, _) => Counts::OneRow,
            (false, true) => Counts::TwoRows,
            (false, false) => Counts::Upward,
        }
    }

    fn row(&self, slip: bool) -> f64 {
        ROWS[self.layout(slip) as usize]
    }

    fn height(&self) -> f64 {
        TOP + HEIGHT + 46.0 + self.row(true) + self.row(false)
    }

    fn axes(&self) -> Markup {
        let (right, bottom) = (WIDTH - RIGHT, TOP + HEIGHT);
        // So many bands from one name to the next that they stay apart.
        let band = self.x(f64::from(self.from + BAND_WIDTH)) - LEFT;
        let step = usize::from(BAND_WIDTH) * (48.0 / band).ceil().max(1.0) as usize;
        html! {
            @for percent in [0u32, 50, 100] {
                @let y = self.y(f64::from(percent) / 100.0);
                line.grid x1=(LEFT) x2=(right) y1=(y) y2=(y) {}
                text x=(LEFT - 6.0) y=(y + 4.0) text-anchor="end" font-size=(NAME) {
                    (percent) @if percent == 100 { (self.words.percent) }
                }
            }
            line.axis x1=(LEFT) x2=(LEFT) y1=(TOP) y2=(bottom) {}
            line.axis x1=(LEFT) x2=(right) y1=(bottom) y2=(bottom) {}
            @for rating in (usize::from(self.from)..usize::from(self.below)).step_by(step) {
                @let x = at(self.x(rating as f64));
                line.axis x1=(x) x2=(x) y1=(bottom) y2=(bottom + 4.0) {}
                text x=(x) y=(bottom + 18.0) text-anchor="middle" font-size=(NAME) { (rating) }
            }
            text x=(right) y=(bottom + 35.0) text-anchor="end" font-size=(COUNT) { (self.words.chart_x) }
        }
    }

    fn series(&self, slip: bool) -> Markup {
        let side = if slip { -4.0 } else { 4.0 };
        let dashes = if slip { "none" } else { "5 3" };
        html! {
            @for stretch in self.of_slips(slip) {
                @let x = self.middle(stretch) + side;
                @let [left, right] = [stretch.from, stretch.below].map(|end| self.x(end.into()));
                @let Figure { value, low, high, .. } = &stretch.figure;
                @if let Some(y) = value.map(|value| at(self.y(value))) {
                    line.trend x1=(at(left + 2.0)) x2=(at(right - 2.0)) y1=(y) y2=(y)
                        stroke-dasharray=(dashes) {}
                }
                @if let Some((low, high)) = low.zip(*high) {
                    path.whisker d=(whisker(x, self.y(low), self.y(high))) {}
                }
                @if let Some(value) = value { (mark(x, self.y(*value), slip)) }
            }
        }
    }

    fn counts(&self, slip: bool, who: &str) -> Markup {
        let above = TOP + HEIGHT + 42.0 + if slip { 0.0 } else { self.row(true) };
        let middle = above + self.row(slip) / 2.0;
        html! {
            text x=(LEFT - 6.0) y=(middle + 4.0) text-anchor="end" font-size=(COUNT) { (who) }
            @for (place, stretch) in self.of_slips(slip).iter().enumerate() {
                @let x = at(self.middle(stretch));
                @let games = self.words.count(stretch.figure.n);
                @let down = if place.is_multiple_of(2) { -7.0 } else { 7.0 };
                @match self.layout(slip) {
                    Counts::Upward => {
                        @let x = at(x + 3.5);
                        text x=(x) y=(middle) transform=(format!("rotate(-90 {x} {middle})"))
                            text-anchor="middle" font-size=(COUNT) { (games) }
                    }
                    Counts::OneRow => {
                        text x=(x) y=(middle + 4.0) text-anchor="middle" font-size=(COUNT) { (games) }
                    }
                    Counts::TwoRows => {
                        text x=(x) y=(middle + 4.0 + down) text-anchor="middle" font-size=(COUNT) { (games) }
                    }
                }
            }
        }
    }

    /// Every figure of the chart in words.
    fn alternative(&self) -> String {
        let words = self.words;
        let of = |slip: bool| {
            let told = self.of_slips(slip).iter().map(move |stretch| {
                let [from, to] = [stretch.from, stretch.below - 1].map(|end| end.to_string());
                let band = words.band(&from, &to);
                let share = counted(&stretch.figure, Unit::Percent, words);
                text_of(&match slip {
                    true => words.chart_slip_band(band, share),
                    false => words.chart_find_band(band, share),
                })
            });
            told.collect::<Vec<_>>().join(" ")
        };
        let [slips, finds] = [of(true), of(false)];
        format!("{} {slips} {finds}", words.chart_alt).trim().to_owned()
    }
}

fn key(slip: bool) -> Markup {
    html! {
        svg.legend viewBox="0 0 30 16" width="30" height="16" aria-hidden="true" {
            line.trend x1="0" x2="30" y1="8" y2="8" stroke-dasharray=(if slip { "none" } else { "5 3" }) {}
            (mark(15.0, 8.0, slip))
        }
    }
}

fn mark(x: f64, y: f64, slip: bool) -> Markup {
    html! {
        @if slip {
            circle.full cx=(at(x)) cy=(at(y)) r="4.6" {}
        } @else {
            rect.open x=(at(x - 4.2)) y=(at(y - 4.2)) width="8.4" height="8.4" {}
        }
    }
}

fn whisker(x: f64, low: f64, high: f64) -> String {
    let [x, left, right] = [x, x - 3.0, x + 3.0].map(at);
    let [low, high] = [low, high].map(at);
    format!("M{left} {low}H{right}M{left} {high}H{right}M{x} {low}V{high}")
}
