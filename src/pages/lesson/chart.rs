//! The chart of slip rate and find rate over the ratings.
//!
//! A filled dot and an open square with whiskers, told apart by shape and line and not by colour;
//! the counts stand under each band. Ink is the page's own text colour.

use maud::{Markup, html};

use super::figure::{Unit, counted_text};
use super::marked;
use super::text::fill;
use super::words::Language;
use crate::answers::Figure;
use crate::answers::lesson::Material;
use crate::answers::trap::BandRow;
use crate::pages::svg::at;

const LEFT: f64 = 92.0;
const TOP: f64 = 12.0;
const HEIGHT: f64 = 190.0;
const RIGHT: f64 = 12.0;
/// The least width of a band.
const BAND: f64 = 46.0;
const WIDTH: f64 = 720.0;

/// What the chart shows of a band: its place and one of its two rates.
type RateOf = fn(&BandRow) -> &Figure;

/// The chart, or a sentence where no band has a game.
pub(super) fn chart(material: &Material, number: usize, sample: u64, words: &Language) -> Markup {
    let rows = shown(&material.report.bands);
    if rows.is_empty() {
        return html! { p { (words.chart_none) } };
    }
    let legend = |template, refutations| {
        fill(template, &[("move", marked(&material.trap, refutations, words))])
    };
    let slip: RateOf = |row| &row.figures.slip_rate;
    let find: RateOf = |row| &row.figures.find_rate;
    let plot = Plot { rows, words };
    html! {
        figure.chart {
            figcaption {
                span.key { (key(true)) (legend(words.chart_slips, false)) }
                " " span.key { (key(false)) (legend(words.chart_finds, true)) }
            }
            div.scroll tabindex="0" role="group" aria-labelledby=(format!("chart-{number}")) {
                svg viewBox=(format!("0 0 {} {}", plot.width(), TOP + HEIGHT + 84.0)) role="img"
                    aria-label=(plot.alternative()) {
                    (plot.axes())
                    (plot.series(slip, true))
                    (plot.series(find, false))
                    (plot.counts(slip, TOP + HEIGHT + 56.0, words.chart_counts_slip))
                    (plot.counts(find, TOP + HEIGHT + 74.0, words.chart_counts_find))
                }
            }
            p.small { (fill(words.chart_note, &[("sample", words.count(sample))])) }
        }
    }
}

/// From the first band with a figure to the last.
fn shown(bands: &[BandRow]) -> &[BandRow] {
    let known =
        |row: &BandRow| row.figures.slip_rate.low.is_some() || row.figures.find_rate.low.is_some();
    match (bands.iter().position(known), bands.iter().rposition(known)) {
        (Some(first), Some(last)) => &bands[first..=last],
        _ => &[],
    }
}

struct Plot<'a> {
    rows: &'a [BandRow],
    words: &'a Language,
}

impl Plot<'_> {
    fn step(&self) -> f64 {
        let bands = self.rows.len() as f64;
        ((WIDTH - LEFT - RIGHT) / bands).clamp(BAND, 2.0 * BAND)
    }

    fn width(&self) -> f64 {
        (LEFT + RIGHT + self.step() * self.rows.len() as f64).max(460.0)
    }

    fn x(&self, place: usize) -> f64 {
        LEFT + self.step() * (place as f64 + 0.5)
    }

    fn y(&self, share: f64) -> f64 {
        TOP + HEIGHT * (1.0 - share)
    }

    fn axes(&self) -> Markup {
        let right = LEFT + self.step() * self.rows.len() as f64;
        html! {
            @for percent in [0u32, 25, 50, 75, 100] {
                @let y = self.y(f64::from(percent) / 100.0);
                line.grid x1=(LEFT) x2=(at(right)) y1=(y) y2=(y) {}
                text x=(LEFT - 8.0) y=(y + 4.5) text-anchor="end" {
                    (percent) @if percent == 100 { (self.words.percent) }
                }
            }
            line.axis x1=(LEFT) x2=(LEFT) y1=(TOP) y2=(TOP + HEIGHT) {}
            line.axis x1=(LEFT) x2=(at(right)) y1=(TOP + HEIGHT) y2=(TOP + HEIGHT) {}
            @for (place, row) in self.rows.iter().enumerate() {
                @let x = at(self.x(place));
                line.axis x1=(x) x2=(x) y1=(TOP + HEIGHT) y2=(TOP + HEIGHT + 5.0) {}
                text x=(x) y=(TOP + HEIGHT + 20.0) text-anchor="middle" { (row.from) }
            }
            text x=(LEFT) y=(TOP + HEIGHT + 37.0) { (self.words.chart_x) }
        }
    }

    fn series(&self, rate: RateOf, slip: bool) -> Markup {
        let side = if slip { -5.0 } else { 5.0 };
        let point = |(place, row): (usize, &BandRow)| {
            let rate = rate(row);
            let x = self.x(place) + side;
            let ends = rate.low.zip(rate.high);
            let ends = ends.map(|(low, high)| [self.y(low), self.y(high)]);
            (x, rate.value.map(|value| self.y(value)), ends)
        };
        type Point = (f64, Option<f64>, Option<[f64; 2]>);
        let points: Vec<Point> = self.rows.iter().enumerate().map(point).collect();
        let known = |&(x, value, _): &Point| value.map(|y| [x, y]);
        let pairs = points.windows(2).filter_map(|pair| known(&pair[0]).zip(known(&pair[1])));
        let dashes = if slip { "none" } else { "5 4" };
        html! {
            @for ([x1, y1], [x2, y2]) in pairs {
                line.trend x1=(at(x1)) y1=(at(y1)) x2=(at(x2))
                    y2=(at(y2)) stroke-dasharray=(dashes) {}
            }
            @for (x, value, ends) in points.iter().copied() {
                @if let Some([low, high]) = ends { path.whisker d=(whisker(x, low, high)) {} }
                @if let Some(y) = value { (mark(x, y, slip)) }
            }
        }
    }

    fn counts(&self, rate: RateOf, y: f64, who: &str) -> Markup {
        html! {
            text x=(LEFT - 26.0) y=(y) text-anchor="end" { (who) }
            @for (place, row) in self.rows.iter().enumerate() {
                text.count x=(at(self.x(place))) y=(y) text-anchor="middle" {
                    (self.words.count(rate(row).n))
                }
            }
        }
    }

    /// Every figure of the chart in words.
    fn alternative(&self) -> String {
        let words = self.words;
        let shown = |rate: &Figure| match rate.low {
            Some(_) => counted_text(rate, Unit::Percent, words),
            None => fill(words.chart_thin, &[("n", words.count(rate.n))]),
        };
        let band = |row: &BandRow| {
            let range = [("from", row.from.to_string()), ("to", (row.below - 1).to_string())];
            let values = [
                ("band", fill(words.band, &range)),
                ("slip", shown(&row.figures.slip_rate)),
                ("find", shown(&row.figures.find_rate)),
            ];
            fill(words.chart_band, &values)
        };
        let bands: Vec<String> = self.rows.iter().map(band).collect();
        format!("{} {}", words.chart_alt, bands.join(" "))
    }
}

fn key(slip: bool) -> Markup {
    html! {
        svg.legend viewBox="0 0 30 16" width="30" height="16" aria-hidden="true" {
            line.trend x1="0" x2="30" y1="8" y2="8" stroke-dasharray=(if slip { "none" } else { "5 4" }) {}
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
