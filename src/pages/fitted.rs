//! Tables that go on in further tables where a page is too narrow for all their columns.

use super::layout::{Side, TextTable, fitted};

/// Blanks behind a column.
const GAP: usize = 2;

/// Columns that stay together, such as a figure and its games.
pub(super) type Together<'h> = Vec<(&'h str, Side)>;

/// A table whose first columns are repeated before each part of the others.
#[derive(Debug)]
pub(super) struct FittedTable<'h> {
    /// The first ones lead.
    columns: Vec<Together<'h>>,
    rows: Vec<Vec<Vec<String>>>,
    gaps: bool,
}

impl<'h> FittedTable<'h> {
    /// An empty table; the first columns lead each of its parts.
    pub(super) fn new(columns: Vec<Together<'h>>) -> FittedTable<'h> {
        FittedTable { columns, rows: Vec::new(), gaps: false }
    }

    /// The same with a blank line between rows, for cells of several lines.
    pub(super) fn with_gaps(self) -> FittedTable<'h> {
        FittedTable { gaps: true, ..self }
    }

    /// Adds a row, one text a column, put together as the columns are.
    pub(super) fn row(&mut self, cells: Vec<Vec<String>>) {
        debug_assert_eq!(cells.len(), self.columns.len());
        self.rows.push(cells);
    }

    /// Its parts, each within `width` if the columns that stay together are, with an empty line
    /// between them.
    pub(super) fn render(self, width: usize) -> String {
        let widths: Vec<usize> = (0..self.columns.len()).map(|place| self.width(place)).collect();
        let mut parts: Vec<Vec<usize>> = Vec::new();
        let mut used = usize::MAX;
        for (place, own) in widths.iter().enumerate().skip(1) {
            // The last column needs no blanks behind it.
            match parts.last_mut() {
                Some(part) if used + own <= width + GAP => part.push(place),
                _ => {
                    parts.push(vec![0, place]);
                    used = widths[0];
                }
            }
            used += own;
        }
        let parts: Vec<String> = parts.iter().map(|part| self.part(part)).collect();
        parts.join("\n")
    }

    /// The width of columns that stay together, the blanks behind them included.
    fn width(&self, place: usize) -> usize {
        let of_column = |(column, (head, side)): (usize, &(&str, Side))| {
            let cells = self.rows.iter().map(|row| fitted(&row[place][column], *side));
            let widest_cell = cells.map(|cell| widest(&cell)).max().unwrap_or(0);
            widest_cell.max(widest(head)) + GAP
        };
        self.columns[place].iter().enumerate().map(of_column).sum()
    }

    fn part(&self, places: &[usize]) -> String {
        let columns: Together<'_> =
            places.iter().flat_map(|&place| self.columns[place].iter().copied()).collect();
        let mut table = TextTable::new(&columns);
        if self.gaps {
            table = table.with_gaps();
        }
        for row in &self.rows {
            table.row(places.iter().flat_map(|&place| row[place].iter().cloned()).collect());
        }
        table.render()
    }
}

fn widest(cell: &str) -> usize {
    cell.lines().map(|line| line.chars().count()).max().unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_go_on_in_a_further_table_and_the_first_ones_lead_it_again() {
        let column = |head| vec![(head, Side::Right), ("n", Side::Right)];
        let columns = vec![vec![("move", Side::Left)], column("share"), column("score")];
        let mut table = FittedTable::new(columns);
        let cells = |texts: [&str; 2]| texts.map(str::to_owned).to_vec();
        table.row(vec![vec!["e4".into()], cells(["62.5", "1,204"]), cells(["51.0", "1,204"])]);
        insta::assert_snapshot!(table.render(24), @"
        move  share      n
        ------------------
        e4     62.5  1,204

        move  score      n
        ------------------
        e4     51.0  1,204
        ");
    }
}
