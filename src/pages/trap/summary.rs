//! Several traps beside each other.

use super::title;
use crate::answers::trap::TrapReport;
use crate::pages::figures::{Reasons, Shown, Unit};
use crate::pages::layout::{Side, TextTable, paragraph};
use crate::pages::numbers::count;
use crate::pages::words::clean;

const NAME: Side = Side::Wrapped(26);

/// Two tables, since one with all counts and intervals would not fit a page: how often, what it pays.
pub(super) fn text(traps: &[&TrapReport]) -> String {
    let mut often = TextTable::new(&[
        ("", Side::Right),
        ("trap", NAME),
        ("games", Side::Right),
        ("occurrence", Side::Right),
        ("steered", Side::Right),
        ("slip rate", Side::Right),
        ("find rate", Side::Right),
    ])
    .with_gaps();
    let mut pays = TextTable::new(&[
        ("", Side::Right),
        ("trap", Side::Wrapped(22)),
        ("edge after slip", Side::Right),
        ("worth", Side::Right),
        ("price", Side::Right),
        ("net", Side::Right),
        ("verdict", Side::Wrapped(13)),
        ("soundness", Side::Left),
    ])
    .with_gaps();
    let mut reasons = Reasons::default();
    for (index, trap) in traps.iter().enumerate() {
        let figures = &trap.figures;
        let mut stack = |shown: Shown<'_>, unit: Unit| {
            reasons.note(shown);
            shown.stack(unit)
        };
        let place = (index + 1).to_string();
        often.row(vec![
            place.clone(),
            format!("{}\n{}", title(trap), clean(&trap.line)),
            count(figures.games),
            stack((&figures.occurrence).into(), Unit::OneIn),
            stack((&figures.steered).into(), Unit::OneIn),
            stack((&figures.slip_rate).into(), Unit::Percent),
            stack((&figures.find_rate).into(), Unit::Percent),
        ]);
        pays.row(vec![
            place,
            title(trap),
            stack((&figures.edge_after_slip).into(), Unit::Edge),
            stack((&figures.worth).into(), Unit::Points),
            stack((&figures.price).into(), Unit::Edge),
            stack((&figures.net).into(), Unit::Points),
            verdict(trap),
            trap.soundness.verdict.name().into(),
        ]);
    }
    let reasons = reasons.sentence().map_or(String::new(), |note| paragraph(&note, 0));
    format!(
        "\nHow often (value, interval, count)\n\n{}\nWhat it pays (worth and net in points per 1000 \
         games; by the lower end of net)\n\n{}\n{reasons}",
        often.render(),
        pays.render()
    )
}

/// `common or occasional`.
pub(super) fn verdict(trap: &TrapReport) -> String {
    let codes: Vec<&str> = trap.figures.verdict.codes.iter().map(|code| code.name()).collect();
    codes.join(" or ")
}
