//! The pages of `student`.

mod flat;
mod page;
mod phrases;
mod sections;
mod table;
mod tables;
mod teacher;

use std::io::{self, Write};

use super::layout::paragraph;
use crate::answers::student::{StudentAnswer, Students};

pub use flat::csv;
pub use page::page;

/// The answer for people; at most `top` rows of each table.
pub fn text<W: Write>(mut out: W, answer: &StudentAnswer, top: usize) -> io::Result<()> {
    let mut page = String::new();
    teacher::head(answer).iter().for_each(|note| page += &paragraph(note, 0));
    page += &tables::habits(answer, top);
    page += &tables::traps(answer, top);
    page += &tables::left(answer, top);
    page.push('\n');
    teacher::foot(answer).iter().for_each(|note| page += &paragraph(note, 0));
    out.write_all(page.as_bytes())
}

/// Several students, a row each.
pub fn several<W: Write>(mut out: W, answers: &Students) -> io::Result<()> {
    let mut page = tables::several(answers);
    page.push('\n');
    teacher::of_several(answers).iter().for_each(|note| page += &paragraph(note, 0));
    out.write_all(page.as_bytes())
}
