//! All findings beside each other.

use crate::answers::hunt::HuntAnswer;
use crate::pages::figures::{Reasons, Unit};
use crate::pages::layout::{Side, TextTable};
use crate::pages::trap::named;
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
        let trap = &found.trap;
        let figure = |key: &str| (named(key).of_trap(trap), named(key).unit);
        let figures = [
            (&found.reach.rate, Unit::OneIn),
            figure("slip_rate"),
            (&found.drop, Unit::Edge),
            figure("find_rate"),
            figure("net_per_1000"),
        ];
        figures.iter().for_each(|(figure, _)| reasons.note(figure));
        let stacks = figures.map(|(figure, unit)| unit.view(figure).stack());
        table.row([vec![(index + 1).to_string(), clean(&trap.name)], stacks.to_vec()].concat());
    }
    let table = reasons.below(table);
    format!("\nBest lower limit of net first (value, interval, count)\n\n{table}")
}
