//! The tables of the topics that are made from the code, as Markdown.

use super::status::EXIT_STATUS;
use crate::games::LeftOut;
use crate::pages::trap::{TABLE, glossary};
use crate::pages::words;

/// The name of the table that a line asks for, as in `<!-- table: left out -->`.
pub(super) fn asked(line: &str) -> Option<&str> {
    line.trim().strip_prefix("<!-- table: ")?.strip_suffix(" -->")
}

/// The table.
///
/// # Panics
///
/// If there is none of this name.
pub(super) fn named(name: &str) -> String {
    match name {
        "trap glossary" => {
            let rows = glossary().into_iter().map(|(name, meaning)| [name, meaning.to_owned()]);
            table(["figure", "meaning"], rows)
        }
        "left out" => {
            let row = |reason: LeftOut| {
                [format!("`{}`", reason.name()), words::left_out(reason).to_owned()]
            };
            table(["reason", "game"], LeftOut::ALL.into_iter().map(row))
        }
        "left out fields" => {
            let row = |reason: LeftOut| {
                let game = words::left_out(reason).to_owned();
                [format!("`{}`", reason.name()), "count".into(), game]
            };
            table(["field", "kind", "games"], LeftOut::ALL.into_iter().map(row))
        }
        "figure fields" => {
            let rows = TABLE.iter().filter(|figure| figure.is_of_filter()).map(|figure| {
                let kind = match (figure.is_product(), figure.unit.is_share()) {
                    (true, _) => "product",
                    (_, true) => "rate",
                    _ => "mean",
                };
                [format!("`{}`", figure.path), kind.to_owned(), figure.general_name()]
            });
            table(["field", "kind", "figure"], rows)
        }
        "figure columns" => {
            let rows = TABLE.iter().map(|figure| {
                let kind = if figure.unit.is_share() { "rate" } else { "mean" };
                [format!("`{}`", figure.key), kind.to_owned(), figure.general_name()]
            });
            table(["column", "kind", "figure"], rows)
        }
        "exit status" => {
            let row = |(status, when): (u8, &str)| [status.to_string(), when.to_owned()];
            table(["status", "when"], EXIT_STATUS.into_iter().map(row))
        }
        "month costs" => include_str!("month-costs.md").to_owned(),
        "games needed" => include_str!("games-needed.md").to_owned(),
        "traps judged" => include_str!("traps-judged.md").to_owned(),
        _ => panic!("a topic asks for the table {name:?}, which there is none of"),
    }
}

fn table<const N: usize>(head: [&str; N], rows: impl Iterator<Item = [String; N]>) -> String {
    let line = |cells: [String; N]| format!("| {} |\n", cells.join(" | "));
    let rows: String = rows.map(|cells| line(cells.map(|cell| cell.replace('|', "\\|")))).collect();
    line(head.map(str::to_owned)) + &line(head.map(|_| "---".to_owned())) + &rows
}
