//! Several traps beside each other.

use super::table::named;
use super::view::title;
use crate::answers::trap::TrapReport;
use crate::pages::figures::Reasons;
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
        let mut stack = |key: &str| {
            let figure = named(key);
            reasons.note(figure.of_trap(trap));
            figure.view(figure.of_trap(trap)).stack()
        };
        let place = (index + 1).to_string();
        let named = format!("{}\n{}", title(trap), clean(&trap.line));
        let games = count(trap.figures.games);
        let row = ["occurrence", "steered", "slip_rate", "find_rate"].map(&mut stack);
        often.row([vec![place.clone(), named, games], row.to_vec()].concat());
        let row = ["edge_after_slip", "worth_per_1000", "price", "net_per_1000"].map(stack);
        let said = vec![verdict(trap), trap.soundness.verdict.name().into()];
        pays.row([vec![place, title(trap)], row.to_vec(), said].concat());
    }
    format!(
        "\nHow often (value, interval, count; of steered the games of its rarest step)\n\n{}\nWhat it pays (worth and net in \
         points per 1000 games; by the lower end of net, which prices only the bait)\n\n{}\n{}",
        often.render(),
        pays.render(),
        reasons.sentence().map_or(String::new(), |note| paragraph(&note, 0))
    )
}

/// `common or occasional`.
pub(super) fn verdict(trap: &TrapReport) -> String {
    let codes = trap.figures.verdict.codes.iter();
    codes.map(|code| code.name().replace('_', " ")).collect::<Vec<_>>().join(" or ")
}
