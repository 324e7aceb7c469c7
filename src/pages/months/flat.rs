//! Traps over stores as a flat table.

use std::io::{self, Write};

use serde_json::{Value, json};

use super::table::FIGURES;
use crate::answers::months::{MonthsAnswer, TrapMonths};
use crate::pages::output::{Columns, merged};

/// A trap in a store, or none for the change a month.
type Row<'a> = (&'a TrapMonths, Option<usize>);

/// For each trap a row of scope `store` for each store and one of scope `a_month`, whose figures
/// are changes.
pub fn csv<W: Write>(out: W, answer: &MonthsAnswer) -> io::Result<()> {
    let rows = answer.traps.iter().flat_map(|trap| {
        let stores = (0..answer.stores.len()).map(Some).chain([None]);
        stores.map(move |place| (said(answer, trap, place), (trap, place)))
    });
    let head = ["name", "setter", "line", "scope", "store", "first", "last", "undated", "month"];
    let columns = Columns::new().said(&head).said(&["keep_from", "may_lack"]);
    let columns = FIGURES.iter().fold(columns, |columns, figure| {
        columns.figure(figure.key, figure.unit, move |(trap, place): &Row<'_>| {
            let change = (figure.of)(trap);
            Some(place.map_or(&change.a_month, |place| &change.by_store[place]))
        })
    });
    columns.write(out, rows)
}

fn said(answer: &MonthsAnswer, trap: &TrapMonths, place: Option<usize>) -> Value {
    let of_trap = |scope| {
        let setter = trap.setter.fold_wb("white", "black");
        json!({"name": trap.name, "setter": setter, "line": trap.line, "scope": scope})
    };
    let Some(place) = place else { return of_trap("a_month") };
    let store = &answer.stores[place];
    let here = json!({"store": store.name, "may_lack": trap.may_lack[place]});
    merged(store, merged(of_trap("store"), here))
}
