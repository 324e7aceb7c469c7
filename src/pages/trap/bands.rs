//! A trap over the bands.

use super::figures::{below, with_games};
use super::table::named;
use crate::answers::Figure;
use crate::answers::trap::BandRow;
use crate::pages::figures::Reasons;
use crate::pages::fitted::FittedTable;
use crate::pages::layout::Side;
use crate::pages::whisker::{AXIS, whisker};

/// How often victims of a band get there and slip, what setters of the band make of it.
pub(super) fn text(bands: &[BandRow]) -> String {
    let mut slips = with_games("slip rate %", "games");
    slips.push((AXIS, Side::Left));
    let mut table = FittedTable::new(vec![
        vec![("rated", Side::Left)],
        slips,
        with_games("occurrence %", "games"),
        with_games("find rate %", "games"),
        with_games("edge after slip %", "n"),
        with_games("net per 1000", "n"),
    ]);
    let mut reasons = Reasons::default();
    for band in bands {
        let mut view = |key: &str| {
            let figure = named(key);
            let known = figure.of(&band.figures).expect("bands have it");
            reasons.note(known);
            figure.view_in_column(known)
        };
        let mut row = vec![vec![format!("{}-{}", band.from, band.below.saturating_sub(1))]];
        let keys = ["slip_rate", "occurrence", "find_rate", "edge_after_slip", "net_per_1000"];
        row.extend(keys.map(|key| {
            let view = view(key);
            let mut cells = vec![view.line(), view.counts()];
            cells.extend((key == "slip_rate").then(|| drawn(view.figure)));
            cells
        }));
        table.row(row);
    }
    below(&reasons, table)
}

/// The figure as a dot with a whisker, a thin one without the dot; empty where withheld.
pub(super) fn drawn(figure: &Figure) -> String {
    let ends = figure.low.zip(figure.high);
    ends.map_or(String::new(), |(low, high)| whisker(figure.value, low, high))
}
