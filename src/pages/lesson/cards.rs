//! Flash cards as CSV (RFC 4180): two columns of HTML, what to ask and what to answer, no head.

use std::io::{self, Write};

use super::Lesson;
use super::quiz::{Question, answer, ask};
use crate::pages::languages::Language;
use crate::pages::output::unwrapped;

/// Writes the cards.
pub fn cards<W: Write>(out: W, lesson: &Lesson, words: &Language) -> io::Result<()> {
    let mut rows = csv::WriterBuilder::new()
        .terminator(csv::Terminator::CRLF)
        .quote_style(csv::QuoteStyle::Always)
        .from_writer(out);
    for one in Question::all(lesson) {
        let sides = [ask(lesson, &one, words), answer(lesson, &one, words)];
        rows.write_record(sides.map(|side| side.into_string())).map_err(unwrapped)?;
    }
    rows.flush()
}
