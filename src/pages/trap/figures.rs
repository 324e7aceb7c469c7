//! The figures of a trap below each other, and why one cannot be said.

use super::view::WIDTH;
use crate::answers::{Figure, Withheld};
use crate::pages::figures::{FigureView, Reasons, reason};
use crate::pages::fitted::{FittedTable, Together};
use crate::pages::layout::{Side, wrapped};

/// Blanks before a meaning.
const INDENT: &str = "  ";
/// The least room for a meaning.
const LEAST: usize = 18;

/// A table of figures, one a row: name with what it means here below it, value, interval and games.
pub(super) fn listing<'a>(
    rows: impl IntoIterator<Item = (String, FigureView<'a>, String)>,
) -> String {
    let cells = rows.into_iter().map(|(name, view, meaning)| {
        let value = view.value() + if view.figure.value.is_some() { view.mark() } else { "" };
        let interval = match view.interval() {
            interval if interval.is_empty() => interval,
            interval => interval + view.mark(),
        };
        let (games, meaning) = match &view.figure.withheld {
            Some(Withheld::Thin { .. }) | None => (view.counts(), meaning),
            Some(why) => (String::new(), reason(why)),
        };
        (name, meaning, [value, interval, games])
    });
    let cells: Vec<_> = cells.collect();
    let width = |column: usize, head: &str| {
        let lines = cells.iter().flat_map(|(_, _, cells)| cells[column].lines());
        lines.map(|line| line.chars().count()).max().unwrap_or(0).max(head.len()) + 2
    };
    let heads = ["value", "interval", "games"];
    let taken: usize = heads.iter().enumerate().map(|(column, head)| width(column, head)).sum();
    let room = WIDTH.saturating_sub(taken).max(LEAST);
    let [value, interval, games] = heads.map(|head| (head, Side::Right));
    let columns = vec![vec![("figure", Side::Left)], vec![value, interval, games]];
    let mut table = FittedTable::new(columns);
    for (name, meaning, numbers) in &cells {
        let lines = meaning.lines().map(|line| wrapped(line, room - INDENT.len(), 0));
        let meaning = lines.collect::<Vec<_>>().join("\n").replace('\n', &format!("\n{INDENT}"));
        table.row(vec![vec![format!("{name}\n{INDENT}{meaning}")], numbers.to_vec()]);
    }
    table.render(WIDTH)
}

/// Columns that stay together: a figure and its games.
pub(super) fn with_games<'h>(head: &'h str, games: &'h str) -> Together<'h> {
    vec![(head, Side::Right), (games, Side::Right)]
}

/// The table with the reasons for what is withheld below it.
pub(super) fn below(reasons: &Reasons, table: FittedTable<'_>) -> String {
    let note = reasons.sentence().map_or(String::new(), |note| super::view::paragraph(&note, 0));
    table.render(WIDTH) + &note
}

/// Why there is no value, without naming the figure that lacks games: `only 23 games`.
pub(super) fn because(figure: &Figure) -> Option<String> {
    let mut why = figure.withheld.as_ref()?;
    while let Withheld::NeedsAnother { why: deeper, .. } = why {
        why = deeper;
    }
    Some(reason(why))
}
