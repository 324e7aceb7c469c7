//! Plain tables and paragraphs.

use tabled::builder::Builder;
use tabled::settings::formatting::AlignmentStrategy;
use tabled::settings::object::{Columns, Rows};
use tabled::settings::style::HorizontalLine;
use tabled::settings::{Alignment, Padding, Style, Width};

use crate::lines;

/// Columns that a page may take: those of a small terminal.
pub(super) const PAGE_WIDTH: usize = 80;

/// On which side the cells of a column stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Side {
    /// Words.
    Left,
    /// Numbers.
    Right,
    /// Words, broken at this many columns.
    Wrapped(usize),
}

/// A cell as its column has it.
pub(super) fn fitted(cell: &str, side: Side) -> String {
    match side {
        Side::Wrapped(width) => {
            cell.lines().map(|line| wrapped(line, width, 0)).collect::<Vec<_>>().join("\n")
        }
        Side::Left | Side::Right => cell.to_owned(),
    }
}

/// A table with one rule, below its head.
#[derive(Debug)]
pub(super) struct TextTable {
    sides: Vec<Side>,
    head: Vec<String>,
    rows: Vec<Vec<String>>,
    gap: usize,
}

impl TextTable {
    /// An empty table with these columns.
    pub(super) fn new<S: AsRef<str>>(columns: &[(S, Side)]) -> TextTable {
        TextTable {
            sides: columns.iter().map(|(_, side)| *side).collect(),
            head: columns.iter().map(|(head, _)| head.as_ref().to_owned()).collect(),
            rows: Vec::new(),
            gap: 0,
        }
    }

    /// The same with a blank line between rows, for cells of several lines.
    pub(super) fn with_gaps(self) -> TextTable {
        TextTable { gap: 1, ..self }
    }

    /// Adds a row, one text a column.
    pub(super) fn row(&mut self, cells: Vec<String>) {
        debug_assert_eq!(cells.len(), self.head.len());
        self.rows
            .push(cells.iter().zip(&self.sides).map(|(cell, side)| fitted(cell, *side)).collect());
    }

    /// The table as lines without trailing blanks.
    pub(super) fn render(self) -> String {
        let last = self.rows.len();
        let mut builder = Builder::default();
        builder.push_record(self.head);
        self.rows.into_iter().for_each(|row| builder.push_record(row));
        let mut table = builder.build();
        let rule = HorizontalLine::new('-');
        table.with(Style::empty().horizontals([(1, rule)])).with(Padding::new(0, 2, 0, 0));
        if self.gap > 0 && last > 1 {
            table.modify(Rows::new(1..last), Padding::new(0, 2, 0, self.gap));
        }
        for (index, side) in self.sides.into_iter().enumerate() {
            let column = Columns::one(index);
            match side {
                Side::Left => {}
                Side::Right => {
                    table.modify(column, Alignment::right());
                    table.modify(column, AlignmentStrategy::PerLine);
                }
                // Only words longer than the column are still too wide here.
                Side::Wrapped(width) => {
                    table.modify(column, Width::wrap(width));
                }
            }
        }
        let mut text = String::new();
        for line in table.to_string().lines() {
            let line = line.strip_suffix("--").filter(|rule| rule.ends_with('-')).unwrap_or(line);
            text.push_str(line.trim_end());
            text.push('\n');
        }
        text
    }
}

/// Words broken into lines of at most [`PAGE_WIDTH`] columns, the second and later ones indented.
/// A longer word, such as a name without spaces, stands on a line of its own.
pub(super) fn paragraph(text: &str, indent: usize) -> String {
    let mut lines = wrapped(text, PAGE_WIDTH, indent);
    lines.push('\n');
    lines
}

/// Words broken into lines of at most `width` columns, the second and later ones indented. A number
/// stays with its interval and its percent sign where they fit a line.
pub(super) fn wrapped(text: &str, width: usize, indent: usize) -> String {
    // Most texts hold no figures.
    if !text.contains(['[', '%']) {
        return lines::wrapped(text.split_whitespace(), width, indent, |_| true);
    }
    let room = width.saturating_sub(indent);
    let numbers = |c: char| c.is_ascii_digit() || matches!(c, '+' | '-');
    let opens = |word: &str| word.strip_prefix('[').is_some_and(|rest| rest.starts_with(numbers));
    // An interval and the sign behind it first, then the value before it.
    let interval = |last: &str, word: &str| {
        word.starts_with('%')
            || opens(last.rsplit(' ').find(|word| word.starts_with('[')).unwrap_or(""))
                && !last.contains(']')
    };
    let value = |last: &str, word: &str| {
        opens(word)
            && last
                .rsplit(' ')
                .next()
                .is_some_and(|last| last.ends_with(|c: char| c.is_ascii_digit() || c == '%'))
    };
    let words = together(text.split_whitespace().map(str::to_owned), room, interval);
    let words = together(words.into_iter(), room, value);
    lines::wrapped(words.iter().map(String::as_str), width, indent, |_| true)
}

/// Words put together that belong so, as far as that fits a line.
fn together(
    words: impl Iterator<Item = String>,
    room: usize,
    belong: impl Fn(&str, &str) -> bool,
) -> Vec<String> {
    let mut put: Vec<String> = Vec::new();
    for word in words {
        let fits = |last: &String| last.chars().count() + 1 + word.chars().count() <= room;
        match put.last_mut().filter(|last| belong(last, &word) && fits(last)) {
            Some(last) => {
                last.push(' ');
                last.push_str(&word);
            }
            None => put.push(word),
        }
    }
    put
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_table_has_one_rule_and_no_trailing_blanks() {
        let mut table = TextTable::new(&[("word", Side::Left), ("n", Side::Right)]);
        table.row(vec!["a".into(), "1,234".into()]);
        table.row(vec!["bait".into(), "5".into()]);
        insta::assert_snapshot!(table.render(), @"
        word      n
        -----------
        a     1,234
        bait      5
        ");
    }

    #[test]
    fn wrapped_cells_break_between_words_and_only_else_inside() {
        let mut table = TextTable::new(&[("name", Side::Wrapped(8)), ("n", Side::Right)]);
        table.row(vec!["a trap with a name".into(), "1".into()]);
        table.row(vec!["incomprehensible".into(), "2".into()]);
        insta::assert_snapshot!(table.render(), @"
        name      n
        -----------
        a trap    1
        with a
        name
        incompre  2
        hensible
        ");
    }

    #[test]
    fn a_number_is_not_parted_from_its_interval_and_its_sign() {
        let text = "so 62.5 [58.1, 66.0] % of them, 12 of 43 % and 9 %";
        assert_eq!(wrapped(text, 20, 0), "so\n62.5 [58.1, 66.0] %\nof them, 12 of 43 %\nand 9 %");
        // What is too long for a line is parted where it can be.
        assert_eq!(wrapped(text, 14, 0), "so 62.5\n[58.1, 66.0] %\nof them, 12 of\n43 % and 9 %");
        assert_eq!(
            wrapped("a 3.77 % [1.2 %, 7.9 %] b [x, y", 17, 0),
            "a 3.77 %\n[1.2 %, 7.9 %] b\n[x, y"
        );
    }

    #[test]
    fn long_words_do_not_loop_and_lines_fit_the_page() {
        let text = "word ".repeat(60) + &"x".repeat(200);
        let lines = paragraph(&text, 2);
        assert_eq!(lines.split_whitespace().count(), 61);
        assert!(lines.lines().take(3).all(|line| line.len() <= PAGE_WIDTH));
    }
}
