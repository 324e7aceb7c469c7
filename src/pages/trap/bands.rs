//! A trap over the bands.

use super::figures::{below, with_games};
use super::table::named;
use crate::answers::Figure;
use crate::answers::trap::BandRow;
use crate::pages::figures::Reasons;
use crate::pages::fitted::FittedTable;
use crate::pages::layout::Side;
use crate::pages::whisker::{AXIS, whisker};

const SLIPS: &str = "slip_rate";
const KEYS: [&str; 5] = [SLIPS, "occurrence", "find_rate", "edge_after_slip", "net_per_1000"];

/// `slip rate %`, `net per 1000`.
fn head(key: &str) -> String {
    match key {
        "net_per_1000" => "net per 1000".into(),
        _ => format!("{} %", named(key).name),
    }
}

/// How often victims of a band get there and slip, what setters of the band make of it.
pub(super) fn text(bands: &[BandRow]) -> String {
    // What no band knows is not shown.
    let known = |key: &&str| {
        let known = |band: &BandRow| named(key).of(&band.figures).is_some_and(|f| f.low.is_some());
        *key == SLIPS || bands.iter().any(known)
    };
    let keys: Vec<&str> = KEYS.into_iter().filter(known).collect();
    let heads: Vec<String> = keys.iter().map(|key| head(key)).collect();
    let mut columns = vec![vec![("rated", Side::Left)]];
    columns.extend(keys.iter().zip(&heads).map(|(key, head)| {
        let mut column = with_games(head, if named(key).unit.is_share() { "games" } else { "n" });
        column.extend((*key == SLIPS).then_some((AXIS, Side::Left)));
        column
    }));
    let mut table = FittedTable::new(columns);
    let mut reasons = Reasons::default();
    for band in bands {
        let mut row = vec![vec![format!("{}-{}", band.from, band.below.saturating_sub(1))]];
        row.extend(keys.iter().map(|key| {
            let figure = named(key);
            let known = figure.of(&band.figures).expect("bands have it");
            reasons.note(known);
            let view = figure.unit.view(known);
            let mut cells = vec![view.line(), view.counts()];
            cells.extend((*key == SLIPS).then(|| drawn(known)));
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
