//! Traps over stores as a flat table.

use std::io::{self, Write};

use super::table::FIGURES;
use crate::answers::months::{MonthsAnswer, TrapMonths};
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
    let columns = FIGURES.iter().fold(columns, |columns, figure| {
        columns.figure(figure.key, figure.unit, move |row: &Row<'_>| {
            let change = (figure.of)(row.1);
            Some(row.2.map_or(&change.a_month, |store| &change.by_store[store]))
        })
    });
    columns.write(out, rows)
}

fn of_store(row: &Row<'_>, text: impl Fn(&crate::answers::months::StoreMonth) -> String) -> String {
    row.2.map_or(String::new(), |place| text(&row.0.stores[place]))
}
