//! The moves of a position by rating or by pace, beside each other.

use std::io::{self, Write};

use serde_json::{Value, json};

use super::figures::{Reasons, Unit};
use super::fitted::FittedTable;
use super::layout::{PAGE_WIDTH, Side, paragraph};
use super::numbers::counted;
use super::output::{Columns, merged};
use crate::answers::Figure;
use crate::answers::moves::{Across, Column, MoveRow, MoveTable};

/// What of a move is shown in each column of the table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shown {
    /// Its share of the games.
    Share,
    /// Its mover's score.
    Score,
}

impl Shown {
    fn figure(self, row: &Across) -> (&Figure, Unit) {
        match self {
            Shown::Share => (&row.share, Unit::Share),
            Shown::Score => (&row.score, Unit::Percent),
        }
    }

    fn of_all(self, row: &MoveRow) -> (&Figure, Unit) {
        match self {
            Shown::Share => (&row.share, Unit::Share),
            Shown::Score => (&row.score, Unit::Percent),
        }
    }
}

/// One row a move, one column for all movers and one for those of each rating or pace.
pub(super) fn text(table: &MoveTable, shown: Shown) -> String {
    let Some(first) = table.moves.first() else { return String::new() };
    let what = match (shown, first.across.first().map(|cell| cell.column)) {
        (Shown::Share, Some(Column::Pace { .. })) => "Share in % by pace",
        (Shown::Score, Some(Column::Pace { .. })) => "Score in % by pace",
        (Shown::Share, _) => "Share in % by the mover's rating",
        (Shown::Score, _) => "Score in % by the mover's rating",
    };
    let games = |n: u64| counted(n, "game");
    let mut heads = vec![format!("all\n{}", games(table.games))];
    heads.extend(
        first.across.iter().map(|cell| format!("{}\n{}", name(cell.column), games(cell.n))),
    );
    let mut columns = vec![vec![("move", Side::Left)]];
    columns.extend(heads.iter().map(|head| vec![(head.as_str(), Side::Right)]));
    let mut fitted = FittedTable::new(columns);
    let mut reasons = Reasons::default();
    let often = |row: &&MoveRow| 100 * row.games >= table.games;
    for row in table.moves.iter().filter(often) {
        let of_columns = row.across.iter().map(|cell| shown.figure(cell));
        let figures = std::iter::once(shown.of_all(row)).chain(of_columns);
        let cells = figures.map(|(figure, unit)| {
            reasons.note(figure);
            vec![unit.view(figure).line()]
        });
        fitted.row(std::iter::once(vec![row.san.clone()]).chain(cells).collect());
    }
    let withheld = reasons.sentence().map_or(String::new(), |note| paragraph(&note, 0));
    let rare = table.moves.iter().filter(|row| !often(row)).count() as u64;
    let left_out = match rare {
        0 => String::new(),
        _ => paragraph(
            &format!("{} played in less than 1 % of the games not shown.", counted(rare, "move")),
            0,
        ),
    };
    format!("{what}\n\n{}{left_out}{withheld}", fitted.render(PAGE_WIDTH))
}

/// `1200-1299`, or the name of the pace.
fn name(column: Column) -> String {
    match column {
        Column::Rated(range) => format!("{}-{}", range.from, range.below - 1),
        Column::Pace { pace } => pace.name().to_owned(),
    }
}

/// A row of scope `all` for each move, and behind it one of scope `band` or `pace` for each column
/// of the table.
pub(super) fn csv<W: Write>(out: W, table: &MoveTable) -> io::Result<()> {
    let rows = table.moves.iter().flat_map(|mv| {
        let said = move |scope: &str, entry: Value| {
            let head = json!({"scope": scope, "rank": mv.rank, "san": mv.san, "uci": mv.uci});
            merged(entry, head)
        };
        let cells = mv.across.iter().map(move |cell| {
            let scope = match cell.column {
                Column::Rated(_) => "band",
                Column::Pace { .. } => "pace",
            };
            (said(scope, json!(cell)), (mv, Some(cell)))
        });
        std::iter::once((said("all", json!({})), (mv, None))).chain(cells)
    });
    Columns::new()
        .said(&["scope", "from", "below", "pace", "rank", "san", "uci"])
        .figure("share", Unit::Share, |(mv, cell): &(&MoveRow, Option<&Across>)| {
            Some(cell.map_or(&mv.share, |cell| &cell.share))
        })
        .figure("score", Unit::Percent, |(mv, cell)| {
            Some(cell.map_or(&mv.score, |cell| &cell.score))
        })
        .write(out, rows)
}
