//! `help formats` explains every field of JSON and every column of CSV, and nothing that there is not.

use std::collections::{BTreeMap, BTreeSet};

use deadfall::pages::help::Topic;

use super::about::About;
use super::answers::{Hunt, Traps, Victims};
use super::gaps::Gaps;
use super::months::Months;
use super::moves::{Claims, Moves};
use super::shape::{Field, Wanted};
use super::student::Student;

/// A row of a table: what it calls the field, its kind, and its meaning.
pub struct Row {
    pub name: String,
    pub kind: String,
    pub meaning: String,
}

/// The rows below each heading whose name is code, such as `### rate` in backticks.
pub fn explained() -> BTreeMap<String, Vec<Row>> {
    let page = Topic::named("formats").expect("a topic").markdown();
    let mut sections: BTreeMap<String, Vec<Row>> = BTreeMap::new();
    let mut section = String::new();
    for line in page.lines() {
        if line.starts_with('#') {
            // The parts and the answers of JSON by their names, tables of CSV as `CSV: moves`.
            let title = line.trim_start_matches(['#', ' ']).replace('`', "");
            section =
                title.strip_prefix("JSON: ").map_or(title.clone(), |name| format!("answer {name}"));
        }
        let Some(row) = line.strip_prefix("| `") else { continue };
        let cells: Vec<&str> = row.trim_end_matches('|').split(" | ").map(str::trim).collect();
        let [name, kind, meaning] = cells[..] else { continue };
        let name = name.trim_end_matches('`').to_owned();
        let row = Row { name, kind: kind.to_owned(), meaning: meaning.to_owned() };
        sections.entry(section.clone()).or_default().push(row);
    }
    sections
}

#[test]
fn every_field_of_every_answer_is_explained_with_its_kind() {
    let mut wanted = Wanted::default();
    wanted.add::<Moves>("answer moves");
    wanted.add::<Claims>("answer moves --claims");
    wanted.add::<Traps>("answer trap");
    wanted.add::<Victims>("answer trap --side victim");
    wanted.add::<Months>("answer trap --over");
    wanted.add::<Hunt>("answer hunt");
    wanted.add::<Gaps>("answer gaps");
    wanted.add::<Student>("answer student");
    wanted.add::<About>("answer about");
    let explained = explained();
    let json = explained.iter().filter(|(section, _)| !section.starts_with("CSV"));
    let names: BTreeSet<&String> = json.map(|(section, _)| section).collect();
    assert_eq!(names, wanted.0.keys().collect(), "headings, and what there is");
    let mut wrong = Vec::new();
    for (section, fields) in &wanted.0 {
        let rows = &explained[section];
        for (name, Field { kind, words }) in fields {
            let Some(row) = rows.iter().find(|row| row.name == *name) else {
                wrong.push(format!("{section}: | `{name}` | {kind} | is not explained"));
                continue;
            };
            if row.kind != *kind {
                wrong.push(format!("{section}: {name} is no {} but {kind}", row.kind));
            }
            for word in words.iter().filter(|word| !row.meaning.contains(&format!("`{word}`"))) {
                wrong.push(format!("{section}: {name} may say `{word}`"));
            }
        }
        let gone = rows.iter().filter(|row| !fields.contains_key(&row.name));
        wrong.extend(gone.map(|row| format!("{section}: there is no {}", row.name)));
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(wanted.0.values().map(BTreeMap::len).sum::<usize>() > 400);
}

/// What a row of CSV is headed by, in any order.
pub fn columns_of(table: &str) -> BTreeSet<String> {
    let explained = explained();
    let rows = explained.get(&format!("CSV: {table}"));
    let rows = rows.unwrap_or_else(|| panic!("the columns of {table} are not explained"));
    let ends = |kind: &str| -> &'static [&'static str] {
        match kind {
            "rate" => &["", "_low", "_high", "_k", "_n", "_n_eff"],
            "mean" => &["", "_low", "_high", "_n", "_n_eff"],
            _ => &[""],
        }
    };
    let columns =
        rows.iter().flat_map(|row| ends(&row.kind).iter().map(|end| row.name.clone() + end));
    let columns: Vec<String> = columns.collect();
    let set: BTreeSet<String> = columns.iter().cloned().collect();
    assert_eq!(set.len(), columns.len(), "{table} explains a column twice");
    set
}
