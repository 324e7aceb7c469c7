//! The figures of a trap below each other, and why one cannot be said.

use super::view::WIDTH;
use crate::answers::{Figure, Withheld};
use crate::pages::figures::{FigureView, Reasons, reason};
use crate::pages::fitted::{FittedTable, Together};
use crate::pages::layout::{Side, wrapped};

/// Blanks before a meaning.
const INDENT: usize = 2;

/// Figures, each with what it means here below it: name, value, interval and games.
pub(in crate::pages) fn listing<'a>(
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
            // The value tells its games.
            Some(Withheld::TooFewGames { .. }) => (String::new(), meaning),
            Some(why @ Withheld::NeedsAnother { .. }) => {
                (String::new(), format!("needs {}", reason(why)))
            }
            Some(why) => (String::new(), briefly(why)),
        };
        let (games, as_good) = games.split_once('\n').unwrap_or((&games, ""));
        ([name, value, interval, games.to_owned()], as_good.to_owned(), meaning)
    });
    let cells: Vec<_> = cells.collect();
    let heads = ["figure", "value", "interval", "games"];
    let width = |column: usize| {
        let cells = cells.iter().map(|(row, ..)| row[column].chars().count());
        cells.max().unwrap_or(0).max(heads[column].len())
    };
    let games = cells.iter().map(|(_, as_good, _)| as_good.len()).max().unwrap_or(0);
    let widths = [width(0), width(1), width(2), width(3).max(games)];
    let line = |row: [&str; 4]| {
        let [name, value, interval, games] = widths;
        let [a, b, c, d] = row;
        format!("{a:name$}  {b:>value$}  {c:>interval$}  {d:>games$}").trim_end().to_owned() + "\n"
    };
    let whole = widths.iter().sum::<usize>() + 6;
    let mut page = line(heads) + &"-".repeat(whole) + "\n";
    for (row, as_good, meaning) in &cells {
        page += &line(row.each_ref().map(String::as_str));
        // The meaning leaves the column of games free where there is something in it.
        let room = if as_good.is_empty() { whole } else { whole - widths[3] - 2 } - INDENT;
        let lines =
            meaning.lines().map(|line| wrapped(line, room, 0)).collect::<Vec<_>>().join("\n");
        for (place, text) in lines.lines().enumerate() {
            let behind = if place == 0 { as_good.as_str() } else { "" };
            let column = whole - INDENT;
            let blanks = column.saturating_sub(text.chars().count());
            page += format!("{:INDENT$}{text}{behind:>blanks$}", "").trim_end();
            page.push('\n');
        }
    }
    page
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
    Some(briefly(why))
}

/// The reason; how far the store counts is said once on a sheet, with the advice.
fn briefly(why: &Withheld) -> String {
    match why {
        Withheld::NotCounted(_) => "the store does not count so far".to_owned(),
        why => reason(why),
    }
}
