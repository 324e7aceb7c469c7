//! Formats for programs.

use std::io::{self, Write};

use serde::Serialize;
use serde_json::Value;

use super::figures::{Unit, reason};
use super::safe::Safe;
use crate::answers::{Figure, Withheld};

/// One JSON object, indented, with a line end. Letters that could steer a terminal are escaped.
pub fn json<W: Write>(out: W, answer: &impl Serialize) -> io::Result<()> {
    let mut out = Safe::json(out);
    serde_json::to_writer_pretty(&mut out, answer)?;
    out.write_all(b"\n")
}

/// CSV with one head and rows of the same width, quoted where needed, line ends `\n`.
pub(super) struct Rows<W: Write>(csv::Writer<W>);

impl<W: Write> Rows<W> {
    /// Writes the head.
    pub(super) fn new<S: AsRef<[u8]>>(out: W, head: &[S]) -> io::Result<Rows<W>> {
        let mut rows = Rows(csv::Writer::from_writer(out));
        rows.row(head)?;
        Ok(rows)
    }

    /// Writes one row; what a spreadsheet would take for a formula has an apostrophe before it.
    pub(super) fn row<S: AsRef<[u8]>>(&mut self, cells: &[S]) -> io::Result<()> {
        for cell in cells.iter().map(AsRef::as_ref) {
            if is_formula(cell) {
                self.0.write_field([b"'", cell].concat()).map_err(unwrapped)?;
            } else {
                self.0.write_field(cell).map_err(unwrapped)?;
            }
        }
        self.0.write_record(None::<&[u8]>).map_err(unwrapped)
    }

    /// Hands over what is still buffered.
    pub(super) fn finish(mut self) -> io::Result<()> {
        self.0.flush()
    }
}

/// Whether a spreadsheet would calculate this cell instead of showing it. Names come from anywhere,
/// and a formula can read files and call servers.
fn is_formula(cell: &[u8]) -> bool {
    let number = || str::from_utf8(cell).is_ok_and(|text| text.parse::<f64>().is_ok());
    cell.len() > 1 && b"=+-@\t\r".contains(&cell[0]) && !number()
}

/// The error of the writer itself, so that a closed pipe can be told from others.
pub(super) fn unwrapped(error: csv::Error) -> io::Error {
    match error.into_kind() {
        csv::ErrorKind::Io(error) => error,
        other => io::Error::other(format!("{other:?}")),
    }
}

/// A word as JSON has it, such as `too_few_games`.
///
/// # Panics
///
/// If JSON has more of it than a word.
pub(super) fn code(word: &impl Serialize) -> String {
    match serde_json::to_value(word) {
        Ok(Value::String(word)) => word,
        other => panic!("a code is a word: {other:?}"),
    }
}

/// A number in full precision, empty where there is none.
fn number(x: Option<f64>) -> String {
    x.map_or(String::new(), |x| x.to_string())
}

/// What a row has behind a column, if anything.
type Of<'c, R, T> = Box<dyn Fn(&R) -> Option<&T> + 'c>;

enum Column<'c, R> {
    /// What JSON says at the first of these places at which there is anything.
    Said(&'static str, Vec<String>),
    Figure(&'static str, Unit, Of<'c, R, Figure>),
    /// No column, but one more reason in the last.
    Reason(&'static str, Of<'c, R, Withheld>),
}

/// The columns of a table, each said once; the last one, `withheld`, tells why figures are. A row
/// is what JSON says of it, and what has its figures.
///
/// A figure `x` fills `x,x_low,x_high,x_k,x_n,x_n_eff`, without `x_k` for what is no share; full
/// precision, empty where it is withheld or the row has none.
pub(super) struct Columns<'c, R>(Vec<Column<'c, R>>);

impl<'c, R> Columns<'c, R> {
    /// No columns yet.
    pub(super) fn new() -> Columns<'c, R> {
        Columns(Vec::new())
    }

    /// A column for each name, with what JSON says under it.
    pub(super) fn said(mut self, names: &[&'static str]) -> Self {
        self.0.extend(names.iter().map(|name| Column::Said(name, vec![format!("/{name}")])));
        self
    }

    /// A column with what JSON says at the first of some places at which there is anything.
    pub(super) fn said_at(mut self, name: &'static str, places: &[&str]) -> Self {
        self.0.push(Column::Said(name, places.iter().map(|&place| place.to_owned()).collect()));
        self
    }

    /// The columns of one more figure.
    pub(super) fn figure(
        mut self,
        name: &'static str,
        unit: Unit,
        figure: impl Fn(&R) -> Option<&Figure> + 'c,
    ) -> Self {
        self.0.push(Column::Figure(name, unit, Box::new(figure)));
        self
    }

    /// No column, but one more reason in the last.
    pub(super) fn reason(
        mut self,
        name: &'static str,
        why: impl Fn(&R) -> Option<&Withheld> + 'c,
    ) -> Self {
        self.0.push(Column::Reason(name, Box::new(why)));
        self
    }

    /// Writes the head and the rows.
    pub(super) fn write<W: Write>(
        self,
        out: W,
        rows: impl IntoIterator<Item = (Value, R)>,
    ) -> io::Result<()> {
        let mut head: Vec<String> = Vec::new();
        for column in &self.0 {
            match column {
                Column::Said(name, _) => head.push((*name).to_owned()),
                Column::Figure(name, unit, _) => {
                    head.extend(ends(*unit).iter().map(|end| format!("{name}{end}")));
                }
                Column::Reason(..) => {}
            }
        }
        head.push("withheld".into());
        let mut table = Rows::new(out, &head)?;
        for (said, row) in rows {
            let (mut cells, mut reasons) = (Vec::new(), Vec::new());
            for column in &self.0 {
                let (name, why) = match column {
                    Column::Said(name, places) => {
                        let known = places.iter().find_map(|place| said.pointer(place));
                        cells.push(known.map_or(String::new(), word));
                        (name, None)
                    }
                    Column::Figure(name, unit, of) => {
                        let figure = of(&row);
                        cells.extend(figure_cells(figure, ends(*unit)));
                        (name, figure.and_then(|figure| figure.withheld.as_ref()))
                    }
                    Column::Reason(name, of) => (name, of(&row)),
                };
                reasons.extend(why.map(|why| format!("{name}: {}", reason(why))));
            }
            cells.push(reasons.join("; "));
            table.row(&cells)?;
        }
        table.finish()
    }
}

/// A table without figures: under each name what JSON says of a row.
pub(super) fn table<W: Write>(
    out: W,
    head: &[&str],
    rows: impl Iterator<Item = Value>,
) -> io::Result<()> {
    let mut table = Rows::new(out, head)?;
    for row in rows {
        table.row(&head.iter().map(|name| word(&row[*name])).collect::<Vec<_>>())?;
    }
    table.finish()
}

/// Both objects in one, the fields of `over` in place of those of `object`.
pub(super) fn merged(object: impl Serialize, over: Value) -> Value {
    let mut object = serde_json::to_value(object).expect("answers are plain data");
    if let (Value::Object(fields), Value::Object(over)) = (&mut object, over) {
        fields.extend(over);
    }
    object
}

/// A word or a number of JSON; nothing of anything else.
fn word(value: &Value) -> String {
    match value {
        Value::String(text) => text.clone(),
        Value::Bool(flag) => flag.to_string(),
        Value::Number(number) if number.is_f64() => {
            number.as_f64().map_or(String::new(), |x| x.to_string())
        }
        Value::Number(number) => number.to_string(),
        Value::Null | Value::Array(_) | Value::Object(_) => String::new(),
    }
}

fn ends(unit: Unit) -> &'static [&'static str] {
    if unit.is_share() {
        &["", "_low", "_high", "_k", "_n", "_n_eff"]
    } else {
        &["", "_low", "_high", "_n", "_n_eff"]
    }
}

fn figure_cells(figure: Option<&Figure>, ends: &[&str]) -> impl Iterator<Item = String> {
    ends.iter().map(move |end| {
        let Some(figure) = figure else { return String::new() };
        match *end {
            "_low" => number(figure.low),
            "_high" => number(figure.high),
            "_k" => figure.k.map_or(String::new(), |k| k.to_string()),
            "_n" => figure.n.to_string(),
            "_n_eff" => figure.n_eff.to_string(),
            _ => number(figure.value),
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    struct Closed;

    impl Write for Closed {
        fn write(&mut self, _: &[u8]) -> io::Result<usize> {
            Err(io::ErrorKind::BrokenPipe.into())
        }
        fn flush(&mut self) -> io::Result<()> {
            Ok(())
        }
    }

    #[test]
    fn a_closed_pipe_stays_a_closed_pipe() {
        let error = json(Closed, &1).expect_err("closed");
        assert_eq!(error.kind(), io::ErrorKind::BrokenPipe);
        let rows = Rows::new(Closed, &["a"]).expect("buffered");
        assert_eq!(rows.finish().expect_err("closed").kind(), io::ErrorKind::BrokenPipe);
        let mut rows = Rows::new(Closed, &["a"]).expect("buffered");
        let long = "x".repeat(100_000);
        assert_eq!(rows.row(&[long]).expect_err("closed").kind(), io::ErrorKind::BrokenPipe);
    }

    #[test]
    fn a_name_is_no_formula_and_a_number_is_a_number() {
        let mut out = Vec::new();
        let mut rows = Rows::new(&mut out, &["name", "edge"]).expect("a vector");
        for cells in [["=1+1", "-0.25"], ["@SUM(A1)", "-1e-7"], ["-2+3, +1", "-"], ["1. e4", "+"]] {
            rows.row(&cells).expect("a vector");
        }
        rows.finish().expect("a vector");
        assert_eq!(
            String::from_utf8(out).expect("text"),
            "name,edge\n'=1+1,-0.25\n'@SUM(A1),-1e-7\n\"'-2+3, +1\",-\n1. e4,+\n"
        );
    }
}
