//! Traps over stores as a flat table.

use std::io::{self, Write};

use crate::answers::Figure;
use crate::answers::months::{Change, MonthsAnswer, TrapMonths};
use crate::pages::figures::Unit;
use crate::pages::output::Columns;

/// A store of a trap, or none for the change a month.
type Row<'a> = (&'a MonthsAnswer, &'a TrapMonths, Option<usize>);

/// For each trap a row of scope `store` for each store and one of scope `a_month`, whose figures are changes.
pub fn csv<W: Write>(out: W, answer: &MonthsAnswer) -> io::Result<()> {
    let rows = answer.traps.iter().flat_map(|trap| {
        let stores = (0..answer.stores.len()).map(Some).chain([None]);
        stores.map(move |store| (answer, trap, store))
    });
    let columns = Columns::new()
        .text("name", |row: &Row<'_>| row.1.name.clone())
        .text("setter", |row| row.1.setter.fold_wb("white", "black").into())
        .text("line", |row| row.1.line.clone())
        .text("scope", |row| row.2.map_or("a_month", |_| "store").into())
        .text("store", |row| of_store(row, |store| store.name.clone()))
        .text("first", |row| of_store(row, |store| store.first.clone()))
        .text("last", |row| of_store(row, |store| store.last.clone()))
        .text("undated", |row| of_store(row, |store| store.undated.to_string()))
        .text("month", |row| of_store(row, |store| store.month.to_string()))
        .text("keep_from", |row| of_store(row, |store| store.keep_from.to_string()))
        .text("may_lack", |row| {
            row.2.map_or(String::new(), |place| row.1.may_lack[place].to_string())
        });
    let units = [
        ("occurrence", Unit::Share),
        ("slip_rate", Unit::Share),
        ("find_rate", Unit::Share),
        ("slips_per_1000", Unit::Number),
    ];
    let columns = units.into_iter().enumerate().fold(columns, |columns, (place, (name, unit))| {
        columns.figure(name, unit, move |row: &Row<'_>| Some(figure(row.1, place, row.2)))
    });
    columns.write(out, rows)
}

fn of_store(row: &Row<'_>, text: impl Fn(&crate::answers::months::StoreMonth) -> String) -> String {
    row.2.map_or(String::new(), |place| text(&row.0.stores[place]))
}

fn figure(trap: &TrapMonths, place: usize, store: Option<usize>) -> &Figure {
    let [a, b, c, d]: [&Change; 4] =
        [&trap.occurrence, &trap.slip_rate, &trap.find_rate, &trap.slips_per_1000];
    let change = [a, b, c, d][place];
    store.map_or(&change.a_month, |store| &change.by_store[store])
}
