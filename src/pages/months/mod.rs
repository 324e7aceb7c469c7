//! The pages of `trap --over`.

mod chart;
mod flat;
mod panel;

use std::io::{self, Write};

use super::figures::{Reasons, Unit};
use super::fitted::FittedTable;
use super::layout::{PAGE_WIDTH, Side, paragraph};
use super::numbers::{as_good, count, counted, fixed};
use super::words::{self, clean};
use crate::answers::Figure;
use crate::answers::months::{Change, MonthsAnswer, StoreMonth, TrapMonths, Turn};

pub use chart::chart;
pub use flat::csv;
pub(super) use panel::{PANEL, Panel};

/// The figures with their names and units, in a store and of a change.
const FIGURES: [(&str, Unit, Unit); 4] = [
    ("occurrence %", Unit::Share, Unit::Edge),
    ("slip rate %", Unit::Share, Unit::Edge),
    ("find rate %", Unit::Share, Unit::Edge),
    ("slips per 1000", Unit::Number, Unit::Points),
];

/// The stores, a table for each trap, and what it rests on.
pub fn text<W: Write>(mut out: W, answer: &MonthsAnswer) -> io::Result<()> {
    let mut page = paragraph(&format!("Ratings and paces: {}.", words::filter(answer.filter)), 0);
    page.push('\n');
    page += &stores(&answer.stores);
    let mut reasons = Reasons::default();
    for trap in &answer.traps {
        page += &format!("\n{}", paragraph(&clean(&trap.name), 4));
        page += &paragraph(&format!("{}: {}", words::side(trap.setter), clean(&trap.line)), 4);
        page += &format!("\n{}", table(answer, trap, &mut reasons));
        page += &paragraph(&verdict(trap), 0);
    }
    page.push('\n');
    notes(answer, &reasons).iter().for_each(|note| page += &paragraph(note, 0));
    out.write_all(page.as_bytes())
}

fn stores(stores: &[StoreMonth]) -> String {
    let mut table = super::layout::TextTable::new(&[
        ("", Side::Right),
        ("store", Side::Wrapped(30)),
        ("games", Side::Right),
        ("dates", Side::Wrapped(32)),
    ]);
    for (place, store) in stores.iter().enumerate() {
        let undated = match store.undated {
            0 => String::new(),
            games => format!("; {} without a date", counted(games, "game")),
        };
        table.row(vec![
            (place + 1).to_string(),
            clean(&store.name),
            count(store.games),
            format!("{} to {}{undated}", store.first, store.last),
        ]);
    }
    table.render()
}

fn table(answer: &MonthsAnswer, trap: &TrapMonths, reasons: &mut Reasons) -> String {
    let mut columns = vec![vec![("", Side::Left)]];
    columns.extend(FIGURES.map(|(name, ..)| vec![(name, Side::Right)]));
    let mut table = FittedTable::new(columns).with_gaps();
    let figures = trap.figures().map(|(_, change)| change);
    for place in 0..answer.stores.len() {
        let cells = figures.iter().zip(FIGURES).map(|(change, (_, unit, _))| {
            let figure = &change.by_store[place];
            reasons.note(figure);
            vec![stack(figure, unit)]
        });
        table.row(std::iter::once(vec![(place + 1).to_string()]).chain(cells).collect());
    }
    let cells = figures.iter().zip(FIGURES).map(|(change, (_, _, unit))| {
        let view = unit.view(&change.a_month);
        vec![format!("{}\n{}", view.value(), view.interval()).trim_end().to_owned()]
    });
    table.row(std::iter::once(vec!["a month".to_owned()]).chain(cells).collect());
    table.render(PAGE_WIDTH)
}

/// Value, interval and games, the unit standing in the head.
fn stack(figure: &Figure, unit: Unit) -> String {
    unit.view(figure).stack().replace(" %", "")
}

/// Which figures surely change.
fn verdict(trap: &TrapMonths) -> String {
    const NAMES: [&str; 4] = [
        "how often the position comes up",
        "the share that slips",
        "the share that refutes",
        "slips per 1000",
    ];
    let of = |turn: Turn| -> Vec<&str> {
        let figures = trap.figures().into_iter().zip(NAMES);
        figures.filter(|((_, change), _)| change.turn == turn).map(|(_, name)| name).collect()
    };
    let parts = [(Turn::Rises, "Surely rising"), (Turn::Falls, "Surely falling")];
    let said = parts.map(|(turn, what)| (of(turn), what));
    let said = said.iter().filter(|(names, _)| !names.is_empty());
    let said: Vec<String> =
        said.map(|(names, what)| format!("{what}: {}.", names.join(", "))).collect();
    match said.is_empty() {
        true => "No figure surely changes.".to_owned(),
        false => said.join(" "),
    }
}

fn notes(answer: &MonthsAnswer, reasons: &Reasons) -> Vec<String> {
    let span = answer.stores.last().map_or(0.0, |store| store.month);
    let mut notes = vec![format!(
        "A month: the slope of least squares against the middle of each store's dates ({} months from the first to the last), \
         of two stores their difference over that time; of shares in percentage points. Many players are in several stores, \
         which its interval allows for by groups of players.",
        fixed(span, 1)
    )];
    if answer.traps.len() > 1 {
        let figures = 4 * answer.traps.len();
        notes.push(format!(
            "Of {figures} changes some look sure by chance: a 95 % interval misses one time in twenty."
        ));
    }
    notes.push("Intervals [low, high] are 95 %.".into());
    let figures = |trap: &TrapMonths| -> Vec<Figure> {
        trap.figures()
            .iter()
            .flat_map(|(_, change): &(_, &Change)| change.by_store.clone())
            .collect()
    };
    let again = |figure: &Figure| as_good(figure.n, figure.n_eff).is_some();
    if answer.traps.iter().any(|trap| figures(trap).iter().any(again)) {
        notes.push(words::as_good_as());
    }
    notes.extend(reasons.sentence());
    notes
}

#[cfg(test)]
mod tests;
