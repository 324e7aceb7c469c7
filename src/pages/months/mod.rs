//! The pages of `trap --over`.

mod chart;
mod flat;
mod panel;
mod table;

use std::io::{self, Write};

use super::figures::{Reasons, Unit};
use super::fitted::FittedTable;
use super::layout::{PAGE_WIDTH, Side, paragraph};
use super::numbers::{as_good, count, counted, fixed};
use super::words::{self, clean};
use crate::answers::Figure;
use crate::answers::months::{MonthsAnswer, StoreMonth, TrapMonths, Turn};
use crate::counts::Lacking;
use table::FIGURES;

pub use chart::chart;
pub use flat::csv;

pub(super) use panel::{PANEL, Panel};

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
        lacking(answer, trap).iter().for_each(|said| page += &paragraph(said, 0));
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
    columns.extend(FIGURES.iter().map(|figure| vec![(figure.head, Side::Right)]));
    let mut table = FittedTable::new(columns).with_gaps();
    for place in 0..answer.stores.len() {
        let cells = FIGURES.iter().map(|row| {
            let figure = &(row.of)(trap).by_store[place];
            reasons.note(figure);
            vec![stack(figure, row.unit)]
        });
        table.row(std::iter::once(vec![(place + 1).to_string()]).chain(cells).collect());
    }
    let cells = FIGURES.iter().map(|row| {
        let view = row.change.view(&(row.of)(trap).a_month);
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
    let of = |turn: Turn| -> Vec<&str> {
        FIGURES.iter().filter(|row| (row.of)(trap).turn == turn).map(|row| row.said).collect()
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

/// In which stores games may be missing.
fn lacking(answer: &MonthsAnswer, trap: &TrapMonths) -> Vec<String> {
    let stores = answer.stores.iter().zip(&trap.may_lack);
    let said = |(store, games): (&StoreMonth, &Lacking)| {
        words::may_lack(*games, &format!("from a position of the line in {}", clean(&store.name)))
    };
    stores.filter_map(said).collect()
}

/// How far the stores count, and where that is not the same.
fn reach(stores: &[StoreMonth]) -> Vec<String> {
    let reach: Vec<String> = stores.iter().map(|store| words::reach(&store.limits)).collect();
    let each = |said: &String| said == &reach[0];
    let mut notes = match reach.iter().all(each) {
        true => reach.first().map(|said| format!("Each store {said}.")).into_iter().collect(),
        false => {
            let said = stores
                .iter()
                .zip(&reach)
                .map(|(store, said)| format!("{} {said}", clean(&store.name)));
            let said: Vec<String> = said.collect();
            vec![format!(
                "{}. Where few games come, that alone may look like a change.",
                said.join("; ")
            )]
        }
    };
    for store in stores {
        let more = words::limits(&store.limits).into_iter().skip(1);
        notes.extend(more.map(|said| format!("{}: {said}", clean(&store.name))));
    }
    notes
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
        let figures = FIGURES.len() * answer.traps.len();
        notes.push(format!(
            "Of {figures} changes some look sure by chance: a 95 % interval misses one time in twenty."
        ));
    }
    notes.push("Intervals [low, high] are 95 %.".into());
    let again = |figure: &Figure| as_good(figure.n, figure.n_eff).is_some();
    let repeats =
        |trap: &TrapMonths| FIGURES.iter().any(|row| (row.of)(trap).by_store.iter().any(again));
    if answer.traps.iter().any(repeats) {
        notes.push(words::as_good_as());
    }
    notes.extend(reasons.sentence());
    notes.extend(reach(&answer.stores));
    notes
}

#[cfg(test)]
mod tests;
