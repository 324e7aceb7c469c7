//! Markdown as plain text for a terminal.
//!
//! Headings are underlined, code blocks are indented, and paragraphs, lists and tables are wrapped
//! to the width of a page. Links and emphasis keep their words only.

use pulldown_cmark::{Alignment, Event, HeadingLevel, Options, Parser, Tag, TagEnd};

use crate::pages::layout::{PAGE_WIDTH, Side, TextTable, wrapped};

/// Stands for a blank that no line may break at.
const GLUE: char = '\u{1}';
/// Code of up to this many letters stays on one line.
const KEPT_TOGETHER: usize = 34;

/// The text of a Markdown document.
pub fn plain(markdown: &str) -> String {
    let mut page = Page::default();
    Parser::new_ext(markdown, Options::ENABLE_TABLES).for_each(|event| page.event(event));
    page.text.trim_matches('\n').replace(GLUE, " ") + "\n"
}

#[derive(Default)]
struct Page {
    text: String,
    /// The words of the block that is being read.
    words: String,
    /// The lists around it; the number of the next item where they have numbers.
    lists: Vec<Option<u64>>,
    /// What begins the next block of an item.
    bullet: Option<String>,
    rows: Vec<Vec<String>>,
    sides: Vec<Alignment>,
}

impl Page {
    fn event(&mut self, event: Event<'_>) {
        match event {
            Event::Start(tag) => self.start(&tag),
            Event::End(tag) => self.end(tag),
            Event::Text(text) => self.words += &text,
            Event::Code(code) if code.chars().count() <= KEPT_TOGETHER => {
                self.words += &code.replace(' ', &GLUE.to_string());
            }
            Event::Code(code) => self.words += &code,
            Event::SoftBreak | Event::HardBreak => self.words.push(' '),
            _ => {}
        }
    }

    fn start(&mut self, tag: &Tag<'_>) {
        match tag {
            Tag::CodeBlock(_) => self.block(),
            Tag::List(first) => {
                self.block();
                self.lists.push(*first);
            }
            Tag::Item => {
                let next = self.lists.last_mut().and_then(Option::as_mut);
                self.bullet = Some(next.map_or("- ".into(), |number| {
                    *number += 1;
                    format!("{}. ", *number - 1)
                }));
            }
            Tag::Table(sides) => {
                self.rows.clear();
                self.sides.clone_from(sides);
            }
            Tag::TableHead | Tag::TableRow => self.rows.push(Vec::new()),
            _ => {}
        }
    }

    fn end(&mut self, tag: TagEnd) {
        match tag {
            TagEnd::Heading(level) => self.heading(level),
            TagEnd::Paragraph => {
                self.block();
                self.gap();
            }
            TagEnd::Item => self.block(),
            TagEnd::List(_) => {
                self.lists.pop();
                self.gap();
            }
            TagEnd::CodeBlock => self.code(),
            TagEnd::TableCell => {
                let cell = std::mem::take(&mut self.words);
                self.rows.iter_mut().next_back().into_iter().for_each(|row| row.push(cell.clone()));
            }
            TagEnd::Table => {
                self.text += &table(std::mem::take(&mut self.rows), &self.sides);
                self.gap();
            }
            _ => {}
        }
    }

    /// One blank line, and none before the first block.
    fn gap(&mut self) {
        if self.lists.is_empty() {
            self.text.push('\n');
        }
    }

    fn heading(&mut self, level: HeadingLevel) {
        let words = std::mem::take(&mut self.words);
        let rule = match level {
            HeadingLevel::H1 => "=",
            HeadingLevel::H2 => "-",
            _ => "~",
        };
        self.text += &format!("{words}\n{}\n", rule.repeat(words.chars().count()));
        self.gap();
    }

    /// Writes the words of a paragraph or of an item.
    fn block(&mut self) {
        let words = std::mem::take(&mut self.words);
        if words.trim().is_empty() {
            return;
        }
        let depth = 2 * self.lists.len().saturating_sub(1);
        let hanging = if self.lists.is_empty() { 0 } else { depth + 2 };
        let bullet = self.bullet.take();
        let hanging = bullet.as_ref().map_or(hanging, |bullet| depth + bullet.len());
        let lines = wrapped(&words, PAGE_WIDTH - hanging, 0);
        for (place, line) in lines.lines().enumerate() {
            let before = match &bullet {
                Some(bullet) if place == 0 => format!("{:depth$}{bullet}", ""),
                _ => " ".repeat(hanging),
            };
            self.text += &format!("{before}{line}\n");
        }
    }

    fn code(&mut self) {
        let code = std::mem::take(&mut self.words);
        let depth = 4 + 2 * self.lists.len();
        // A page of the program is as wide as this page: then it is not indented.
        let widest = code.lines().map(|line| line.chars().count()).max().unwrap_or(0);
        let depth = depth.min(PAGE_WIDTH.saturating_sub(widest));
        for line in code.lines() {
            self.text += format!("{:depth$}{line}", "").trim_end();
            self.text.push('\n');
        }
        self.text.push('\n');
    }
}

/// A table whose widest columns are wrapped where it does not fit.
fn table(rows: Vec<Vec<String>>, sides: &[Alignment]) -> String {
    let mut rows = rows.into_iter();
    let head = rows.next().unwrap_or_default();
    let rows: Vec<Vec<String>> = rows.collect();
    let length = |cell: &String| cell.chars().count();
    let natural = |column: usize| {
        let cells = rows.iter().filter_map(|row| row.get(column)).chain([&head[column]]);
        cells.map(length).max().unwrap_or(0)
    };
    let widths = fitted((0..head.len()).map(natural).collect());
    let side = |(width, side)| match side {
        Alignment::Right => Side::Right,
        _ => Side::Wrapped(width),
    };
    let columns: Vec<(String, Side)> =
        head.into_iter().zip(widths.into_iter().zip(sides.iter().copied()).map(side)).collect();
    let mut table = TextTable::new(&columns);
    rows.into_iter().for_each(|row| table.row(row));
    table.render()
}

/// Widths of columns that fit a page, two blanks between them: a column keeps its own if it is no
/// wider than its part, and the others share what is left.
fn fitted(natural: Vec<usize>) -> Vec<usize> {
    let mut left = PAGE_WIDTH.saturating_sub(2 * natural.len().saturating_sub(1));
    let mut widths = vec![None; natural.len()];
    loop {
        let open = widths.iter().filter(|width| width.is_none()).count();
        let part = left / open.max(1);
        let fits = (0..natural.len()).find(|&at| widths[at].is_none() && natural[at] <= part);
        let Some(at) = fits else {
            return widths.into_iter().map(|width| width.unwrap_or(part)).collect();
        };
        widths[at] = Some(natural[at]);
        left -= natural[at];
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_of_block_is_plain_and_narrow() {
        let markdown = "# Head\n\nWords with *weight*, `code` and a [link](x.md).\n\n## Below\n\n- one\n- two, \
            which is a good deal longer than a line of a terminal and is broken in the middle of it\n\n1. first\n2. second\n\n\
            ```sh\ndeadfall about\n```\n\n| field | meaning |\n| --- | --- |\n| `games` | all the games of the position, counted \
            once each, whatever the order of the moves |\n";
        let text = plain(markdown);
        assert!(text.lines().all(|line| line.chars().count() <= PAGE_WIDTH), "{text}");
        insta::assert_snapshot!(text);
    }

    #[test]
    fn columns_share_what_narrow_ones_leave() {
        assert_eq!(fitted(vec![5, 10]), [5, 10]);
        assert_eq!(fitted(vec![5, 200]), [5, 73]);
        assert_eq!(fitted(vec![5, 100, 100]), [5, 35, 35]);
        assert_eq!(fitted(Vec::new()), Vec::<usize>::new());
    }
}
