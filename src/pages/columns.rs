//! The columns of a flat table, each said once: its name, and what a row has in it.

use std::borrow::Borrow;
use std::io::{self, Write};

use super::figures::{Shown, Unit};
use super::output::{Rows, number};

/// A column of rows of type `R`.
pub(super) struct Column<R> {
    /// Its name in CSV; in JSON too.
    pub key: &'static str,
    /// What it holds.
    pub holds: Holds<R>,
}

/// What a column holds.
pub(super) enum Holds<R> {
    /// A word or a bare number, as CSV writes it.
    Plain(fn(&R) -> String),
    /// A figure, which takes a column for each of its numbers; none where the row has no such figure.
    Figure(Figure<R>),
}

/// A figure of a row.
pub(super) struct Figure<R> {
    /// Its name in tables for people.
    pub head: &'static str,
    /// How it is written there.
    pub unit: Unit,
    /// Whether it is a share, so that it has the games with the property as well.
    pub is_rate: bool,
    /// The figure.
    pub get: for<'r> fn(&'r R) -> Option<Shown<'r>>,
}

/// A column of words or bare numbers.
pub(super) const fn plain<R>(key: &'static str, text: fn(&R) -> String) -> Column<R> {
    Column { key, holds: Holds::Plain(text) }
}

/// The columns of a share.
pub(super) const fn rate<R>(
    key: &'static str,
    head: &'static str,
    unit: Unit,
    get: for<'r> fn(&'r R) -> Option<Shown<'r>>,
) -> Column<R> {
    Column { key, holds: Holds::Figure(Figure { head, unit, is_rate: true, get }) }
}

/// The columns of a mean.
pub(super) const fn mean<R>(
    key: &'static str,
    head: &'static str,
    unit: Unit,
    get: for<'r> fn(&'r R) -> Option<Shown<'r>>,
) -> Column<R> {
    Column { key, holds: Holds::Figure(Figure { head, unit, is_rate: false, get }) }
}

impl<R> Column<R> {
    /// The figure, if it holds one.
    pub(super) fn figure(&self) -> Option<&Figure<R>> {
        match &self.holds {
            Holds::Figure(figure) => Some(figure),
            Holds::Plain(_) => None,
        }
    }

    fn heads(&self) -> Vec<String> {
        let ends: &[&str] = match &self.holds {
            Holds::Plain(_) => &[""],
            Holds::Figure(figure) if figure.is_rate => &["", "_low", "_high", "_k", "_n"],
            Holds::Figure(_) => &["", "_low", "_high", "_n"],
        };
        ends.iter().map(|end| format!("{}{end}", self.key)).collect()
    }

    fn cells(&self, row: &R) -> Vec<String> {
        let figure = match &self.holds {
            Holds::Plain(text) => return vec![text(row)],
            Holds::Figure(figure) => figure,
        };
        let Some(shown) = (figure.get)(row) else { return vec![String::new(); self.heads().len()] };
        let numbers = [shown.value, shown.low, shown.high].map(number);
        let games = shown.k.filter(|_| figure.is_rate).into_iter().chain([shown.n]);
        numbers.into_iter().chain(games.map(|games| games.to_string())).collect()
    }

    fn withheld(&self, row: &R) -> Option<String> {
        let shown = (self.figure()?.get)(row)?;
        Some(format!("{}: {}", self.key, shown.withheld?))
    }
}

/// The rows as CSV in full precision; the last column says which figures are withheld, and why.
pub(super) fn csv<W: Write, R>(
    out: W,
    columns: &[Column<R>],
    rows: impl IntoIterator<Item = impl Borrow<R>>,
) -> io::Result<()> {
    let mut head: Vec<String> = columns.iter().flat_map(Column::heads).collect();
    head.push("withheld".into());
    let mut table = Rows::new(out, &head)?;
    for row in rows {
        let row = row.borrow();
        let mut cells: Vec<String> = columns.iter().flat_map(|column| column.cells(row)).collect();
        let withheld: Vec<String> =
            columns.iter().filter_map(|column| column.withheld(row)).collect();
        cells.push(withheld.join("; "));
        table.row(&cells)?;
    }
    table.finish()
}
