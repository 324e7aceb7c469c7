//! All findings beside each other.

use crate::answers::hunt::HuntAnswer;
use crate::pages::figures::{Reasons, Shown, Unit};
use crate::pages::layout::{Side, TextTable, paragraph};
use crate::pages::words::clean;

/// One row a finding, best first.
pub(super) fn text(answer: &HuntAnswer) -> String {
    let mut table = TextTable::new(&[
        ("", Side::Right),
        ("trap", Side::Wrapped(30)),
        ("reach", Side::Right),
        ("slip rate", Side::Right),
        ("drop", Side::Right),
        ("find rate", Side::Right),
        ("net per 1000", Side::Right),
    ])
    .with_gaps();
    let mut reasons = Reasons::default();
    for (index, found) in answer.found.iter().enumerate() {
        let figures = &found.trap.figures;
        let mut stack = |shown: Shown<'_>, unit: Unit| {
            reasons.note(shown);
            shown.stack(unit)
        };
        table.row(vec![
            (index + 1).to_string(),
            clean(&found.trap.name),
            stack((&found.reach.rate).into(), Unit::OneIn),
            stack((&figures.slip_rate).into(), Unit::Percent),
            stack((&found.drop).into(), Unit::Edge),
            stack((&figures.find_rate).into(), Unit::Percent),
            stack((&figures.net).into(), Unit::Points),
        ]);
    }
    let reasons = reasons.sentence().map_or(String::new(), |note| paragraph(&note, 0));
    format!(
        "\nBest lower limit of net first (value, interval, count)\n\n{}{reasons}",
        table.render()
    )
}
