//! All findings beside each other.

use crate::answers::hunt::{Found, HuntAnswer};
use crate::pages::figures::{Reasons, Unit};
use crate::pages::fitted::FittedTable;
use crate::pages::layout::{PAGE_WIDTH, Side, paragraph};
use crate::pages::trap::named;
use crate::pages::words::clean;

/// Over the findings that are none to lay.
pub(super) const NOT_TO_LAY: &str =
    "No trap to lay: it scores less, or you stand worse unless they err";

/// One row a finding, best first; those that are no trap to lay in a table of their own.
pub(super) fn text(answer: &HuntAnswer) -> String {
    let part = |to_lay: bool, head: &str| {
        let found = answer.found.iter().enumerate().filter(|(_, found)| found.to_lay == to_lay);
        let found: Vec<(usize, &Found)> = found.collect();
        if found.is_empty() { String::new() } else { format!("\n{head}\n\n{}", table(&found)) }
    };
    part(true, "Best lower limit of net first (value, interval, count)") + &part(false, NOT_TO_LAY)
}

fn table(found: &[(usize, &Found)]) -> String {
    let one = |head| vec![(head, Side::Right)];
    let mut table = FittedTable::new(vec![
        vec![("", Side::Right), ("costly move", Side::Wrapped(24))],
        one("reach"),
        one("played"),
        one("drop"),
        one("best reply"),
        one("net per 1000"),
    ])
    .with_gaps();
    let mut reasons = Reasons::default();
    for (index, found) in found {
        let trap = &found.trap;
        let figure = |key: &str| (named(key).of_trap(trap), named(key).unit);
        let figures = [
            (&found.reach.rate, Unit::Share),
            figure("slip_rate"),
            (&found.drop, Unit::Edge),
            figure("find_rate"),
            figure("net_per_1000"),
        ];
        figures.iter().for_each(|(figure, _)| reasons.note(figure));
        let stacks = figures.map(|(figure, unit)| vec![unit.view(figure).stack()]);
        let lead = vec![(index + 1).to_string(), clean(&trap.name)];
        table.row(std::iter::once(lead).chain(stacks).collect());
    }
    let withheld = reasons.sentence().map_or(String::new(), |note| paragraph(&note, 0));
    table.render(PAGE_WIDTH) + &withheld
}
