//! All findings beside each other.

use super::columns::{Row, columns};
use crate::answers::hunt::HuntAnswer;
use crate::pages::figures::{Reasons, Unit};
use crate::pages::layout::{Side, TextTable, paragraph};
use crate::pages::words::clean;

const FIGURES: [&str; 5] = ["reach", "slip_rate", "drop", "find_rate", "net"];

/// One row a finding, best first.
pub(super) fn text(answer: &HuntAnswer) -> String {
    let columns = columns();
    let figures = columns.iter().filter(|column| FIGURES.contains(&column.key));
    let figures: Vec<_> = figures.filter_map(|column| column.figure()).collect();
    let mut heads = vec![("".to_owned(), Side::Right), ("trap".to_owned(), Side::Wrapped(30))];
    heads.extend(figures.iter().map(|figure| match figure.unit {
        Unit::Points => (format!("{} per 1000", figure.head), Side::Right),
        _ => (figure.head.to_owned(), Side::Right),
    }));
    let (mut table, mut reasons) = (TextTable::new(&heads).with_gaps(), Reasons::default());
    for (found, place) in answer.found.iter().zip(1..) {
        let row = Row { answer, found, place, branch: None };
        let mut cells = vec![place.to_string(), clean(&found.trap.name)];
        for figure in &figures {
            let Some(shown) = (figure.get)(&row) else { continue };
            reasons.note(shown);
            cells.push(shown.stack(figure.unit));
        }
        table.row(cells);
    }
    let reasons = reasons.sentence().map_or(String::new(), |note| paragraph(&note, 0));
    format!(
        "\nBest lower limit of net first (value, interval, count)\n\n{}{reasons}",
        table.render()
    )
}
