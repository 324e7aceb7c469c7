//! A trap over the bands.

use super::table::named;
use crate::answers::Figure;
use crate::answers::trap::BandRow;
use crate::pages::figures::{FigureView, Reasons};
use crate::pages::layout::{Side, TextTable};
use crate::pages::whisker::{AXIS, whisker};

/// Two tables: how often victims of a band get there and slip, what setters of the band make of it.
pub(super) fn text(bands: &[BandRow]) -> String {
    let mut often = TextTable::new(&[
        ("rated", Side::Left),
        ("occurrence %", Side::Right),
        ("games", Side::Right),
        ("slip rate %", Side::Right),
        ("games", Side::Right),
        (AXIS, Side::Left),
    ]);
    let mut pays = TextTable::new(&[
        ("rated", Side::Left),
        ("find rate %", Side::Right),
        ("games", Side::Right),
        ("edge after slip %", Side::Right),
        ("n", Side::Right),
        ("net per 1000", Side::Right),
        ("n", Side::Right),
    ]);
    let mut reasons = Reasons::default();
    for band in bands {
        let mut view = |key: &str| {
            let figure = named(key);
            let known = figure.of(&band.figures).expect("bands have it");
            reasons.note(known);
            figure.view_in_column(known)
        };
        let rated = format!("{}-{}", band.from, band.below.saturating_sub(1));
        let [occurrence, slips] = ["occurrence", "slip_rate"].map(&mut view);
        let paid = ["find_rate", "edge_after_slip", "net_per_1000"].map(view);
        let [once, twice] = [occurrence, slips].map(|view| [view.line(), view.counts()]);
        let often_row =
            [vec![rated.clone()], once.to_vec(), twice.to_vec(), vec![drawn(slips.figure)]];
        often.row(often_row.concat());
        let cells = paid.iter().flat_map(|view: &FigureView| [view.line(), view.counts()]);
        pays.row(std::iter::once(rated).chain(cells).collect());
    }
    format!("{}\n{}", often.render(), reasons.below(pays))
}

/// The figure as a dot with a whisker, a thin one without the dot; empty where withheld.
pub(super) fn drawn(figure: &Figure) -> String {
    let ends = figure.low.zip(figure.high);
    ends.map_or(String::new(), |(low, high)| whisker(figure.value, low, high))
}
