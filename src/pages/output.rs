//! Formats for programs.

use std::io::{self, Write};

use serde::Serialize;

use super::safe::Safe;
use crate::answers::{Mean, Rate, Withheld};

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

    /// Writes one row.
    pub(super) fn row<S: AsRef<[u8]>>(&mut self, cells: &[S]) -> io::Result<()> {
        self.0.write_record(cells).map_err(unwrapped)
    }

    /// Hands over what is still buffered.
    pub(super) fn finish(mut self) -> io::Result<()> {
        self.0.flush()
    }
}

/// The error of the writer itself, so that a closed pipe can be told from others.
fn unwrapped(error: csv::Error) -> io::Error {
    match error.into_kind() {
        csv::ErrorKind::Io(error) => error,
        other => io::Error::other(format!("{other:?}")),
    }
}

/// A number in full precision, empty where there is none.
pub(super) fn number(x: Option<f64>) -> String {
    x.map_or(String::new(), |x| x.to_string())
}

/// Names of the columns of a rate: `x,x_low,x_high,x_k,x_n`.
pub(super) fn rate_head(name: &str) -> [String; 5] {
    ["", "_low", "_high", "_k", "_n"].map(|end| format!("{name}{end}"))
}

/// Why figures are withheld, each with its column's name: `net: edge refuted: 3 games, 50 needed; worth: ...`. It makes the last column of
/// a table, `withheld`.
pub(super) fn withheld<'a>(
    figures: impl IntoIterator<Item = (&'a str, Option<&'a Withheld>)>,
) -> String {
    let why = |(name, why): (&str, Option<&Withheld>)| Some(format!("{name}: {}", why?));
    figures.into_iter().filter_map(why).collect::<Vec<_>>().join("; ")
}

/// The cells of a rate.
pub(super) fn rate(rate: &Rate) -> [String; 5] {
    let Rate { value, low, high, k, n, .. } = rate;
    [number(*value), number(*low), number(*high), k.to_string(), n.to_string()]
}

/// Names of the columns of a mean: `x,x_low,x_high,x_n`.
pub(super) fn mean_head(name: &str) -> [String; 4] {
    ["", "_low", "_high", "_n"].map(|end| format!("{name}{end}"))
}

/// The cells of a mean.
pub(super) fn mean(mean: &Mean) -> [String; 4] {
    let Mean { value, low, high, n, .. } = mean;
    [number(*value), number(*low), number(*high), n.to_string()]
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
}
