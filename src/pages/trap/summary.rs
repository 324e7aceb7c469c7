//! Several traps beside each other.

use super::advice;
use super::figures::below;
use super::soundness;
use super::table::named;
use super::view::{WIDTH, paragraph, title};
use crate::answers::trap::{Code, TrapReport};
use crate::pages::figures::Reasons;
use crate::pages::fitted::FittedTable;
use crate::pages::layout::Side;
use crate::pages::numbers::count;
use crate::pages::output::code;
use crate::pages::words::clean;

/// The figures of the second table, each with its games.
const FIGURES: [&str; 7] = [
    "occurrence",
    "steered",
    "slip_rate",
    "find_rate",
    "edge_after_slip",
    "worth_per_1000",
    "price",
];

/// What to do with each trap and why, then the figures, in as many tables as the page needs.
pub(super) fn text(traps: &[TrapReport]) -> String {
    let right = |head| vec![(head, Side::Right)];
    let mut advised = FittedTable::new(vec![
        vec![("", Side::Right), ("trap", Side::Wrapped(18))],
        vec![
            ("advice", Side::Wrapped(9)),
            ("net per 1000", Side::Right),
            ("verdict", Side::Wrapped(10)),
        ],
        vec![("soundness", Side::Wrapped(14))],
    ])
    .with_gaps();
    let mut columns = vec![vec![("", Side::Right), ("trap", Side::Wrapped(14))], right("games")];
    columns.extend(FIGURES.map(|key| right(named(key).name)));
    let mut figures = FittedTable::new(columns).with_gaps();
    let mut reasons = Reasons::default();
    let mut sentences = String::new();
    for (index, trap) in traps.iter().enumerate() {
        let mut stack = |key: &str| {
            let figure = named(key);
            reasons.note(figure.of_trap(trap));
            figure.view(figure.of_trap(trap)).stack()
        };
        let place = (index + 1).to_string();
        let said = format!("{place}. {}: {}", title(trap), advice::sentence(trap));
        sentences += &paragraph(&said, 4);
        let line = format!("{}\n{}", title(trap), clean(&trap.line));
        let net = stack("net_per_1000");
        advised.row(vec![
            vec![place.clone(), line],
            vec![advice::codes(trap), net, verdict(trap)],
            vec![soundness::short(&trap.soundness)],
        ]);
        let mut row = vec![vec![place, title(trap)], vec![count(trap.figures.games)]];
        row.extend(FIGURES.map(|key| vec![stack(key)]));
        figures.row(row);
    }
    format!(
        "\nWhat to do\n\n{sentences}\n{}\nHow often, and what it pays\n\n{}",
        advised.render(WIDTH),
        below(&reasons, figures)
    )
}

/// `common or occasional`.
pub(super) fn verdict(trap: &TrapReport) -> String {
    let codes = trap.figures.verdict.codes.iter();
    codes.map(|class| code(class).replace('_', " ")).collect::<Vec<_>>().join(" or ")
}

/// "The slip is common, if you always play for it."
pub(super) fn how_often(trap: &TrapReport) -> String {
    match trap.figures.verdict.codes.as_slice() {
        [Code::TooFewGames] => "Too few games to say how often the slip comes up.".into(),
        // The figure says why.
        [Code::NotCounted] => String::new(),
        _ => format!("The slip is {}, if you always play for it.", verdict(trap)),
    }
}
