//! A trap over the bands.

use crate::answers::trap::BandRow;
use crate::pages::figures::{Reasons, Shown, Unit};
use crate::pages::layout::{Side, TextTable, paragraph};
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
        let figures = &band.figures;
        let rated = format!("{}-{}", band.from, band.below.saturating_sub(1));
        let [occurrence, slips, finds] =
            [&figures.occurrence, &figures.slip_rate, &figures.find_rate].map(Shown::from);
        let [edge, net] = [&figures.edge_after_slip, &figures.net].map(Shown::from);
        [occurrence, slips, finds, edge, net].into_iter().for_each(|shown| reasons.note(shown));
        often.row(vec![
            rated.clone(),
            occurrence.line(Unit::Percent),
            occurrence.count(),
            slips.line(Unit::Percent),
            slips.count(),
            drawn(slips),
        ]);
        pays.row(vec![
            rated,
            finds.line(Unit::Percent),
            finds.count(),
            edge.line(Unit::Edge),
            edge.count(),
            net.line(Unit::Points),
            net.count(),
        ]);
    }
    let reasons = reasons.sentence().map_or(String::new(), |note| paragraph(&note, 0));
    format!("{}\n{}{reasons}", often.render(), pays.render())
}

fn drawn(rate: Shown<'_>) -> String {
    match (rate.value, rate.low, rate.high) {
        (Some(value), Some(low), Some(high)) => whisker(value, low, high),
        _ => String::new(),
    }
}
