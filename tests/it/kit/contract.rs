//! What `help formats` promises of JSON and CSV, read from its tables: the contract that answers
//! are held against.
//!
//! Every JSON answer that a test reads is held against it (`Run::json`): each field of a row is
//! there, of its kind and with a word of those listed, and there is no other.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::LazyLock;

use deadfall::pages::help::Topic;
use serde_json::Value;

/// A row of a table: what it calls the field, its kind, and its meaning.
pub struct Row {
    pub name: String,
    pub kind: String,
    meaning: String,
}

/// The rows below each heading: `rate` and other parts of answers, `answer moves` and other
/// answers, `CSV: moves` and other tables.
pub static EXPLAINED: LazyLock<BTreeMap<String, Vec<Row>>> = LazyLock::new(|| {
    let page = Topic::named("formats").expect("a topic").markdown();
    let mut sections: BTreeMap<String, Vec<Row>> = BTreeMap::new();
    let mut section = String::new();
    for line in page.lines() {
        if line.starts_with('#') {
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
});

/// What an object has besides the field that says which of several it is.
const OF_SEVERAL: [(&str, &str); 13] = [
    ("evals", "n slip n_slip best n_best after_slip_cp without_slip_cp slip_loses_cp"),
    ("mate", "n moves proof mate_in"),
    ("engine", "n name best without_slip_cp slip after_slip_cp after_refutation_cp slip_loses_cp"),
    ("reached", "n needed"),
    ("games", "n needed"),
    ("other_games", "n needed"),
    ("share", "value needed"),
    ("certain", "q needed"),
    ("drop", "value needed"),
    ("in_order", "edge needed"),
    ("refutation", ""),
    ("way", ""),
    ("place", ""),
];

/// An answer held against its tables.
#[derive(Default)]
pub struct Held {
    /// The fields that said something, by section.
    pub said: BTreeSet<(String, String)>,
    pub wrong: BTreeSet<String>,
}

impl Held {
    /// Holds the answer to a command against its table; of several students each.
    pub fn answer(&mut self, name: &str, answer: &Value) {
        let section = format!("answer {name}");
        assert!(EXPLAINED.contains_key(&section), "{name} is not explained");
        match answer["students"].as_array() {
            Some(students) => students.iter().for_each(|one| self.object(&section, "", one)),
            None => self.object(&section, "", answer),
        }
    }

    /// An object at `path` of a section; with an empty path the section itself.
    fn object(&mut self, section: &str, path: &str, value: &Value) {
        self.with_part(section, path, None, value);
    }

    fn with_part(&mut self, section: &str, path: &str, part: Option<&str>, value: &Value) {
        let Some(object) = value.as_object() else {
            self.wrong(section, path, "is no object");
            return;
        };
        let before = if path.is_empty() { String::new() } else { format!("{path}.") };
        let mut tables = vec![(section, before.as_str())];
        tables.extend(part.map(|part| (part, "")));
        // What the help says of a trap besides: all figures.
        tables.extend((part == Some("trap")).then_some(("figures", "")));
        let mut unknown: BTreeSet<&str> = object.keys().map(String::as_str).collect();
        for (section, before) in tables {
            for row in &EXPLAINED[section] {
                let Some(name) = row.name.strip_prefix(before) else { continue };
                if name.contains('.') {
                    continue;
                }
                unknown.remove(name);
                match object.get(name) {
                    Some(value) => self.value(section, row, &row.name, &row.kind, value),
                    None if row.kind.ends_with(" or null") || lacks(path, object, name) => {}
                    None => self.wrong(section, &row.name, "is missing"),
                }
            }
        }
        for name in unknown {
            self.wrong(section, &format!("{before}{name}"), "is not explained");
        }
    }

    fn value(&mut self, section: &str, row: &Row, path: &str, kind: &str, value: &Value) {
        if let Some(kind) = kind.strip_suffix(" or null") {
            if !value.is_null() {
                self.value(section, row, path, kind, value);
            }
            return;
        }
        self.said.insert((section.to_owned(), row.name.clone()));
        if let Some(kinds) = kind.strip_prefix("list of ") {
            let kind = if kinds == "figures" { kinds } else { kinds.trim_end_matches('s') };
            let Some(values) = value.as_array() else {
                return self.wrong(section, path, "is no list");
            };
            let path = format!("{path}[]");
            return values.iter().for_each(|value| self.value(section, row, &path, kind, value));
        }
        let says = |meaning: &str| {
            value.as_str().is_some_and(|word| meaning.contains(&format!("`{word}`")))
        };
        let fits = match kind {
            "text" => value.is_string(),
            "count" => value.is_u64(),
            "number" => value.is_number(),
            "true/false" => value.is_boolean(),
            "word" => says(&row.meaning),
            "object" => return self.object(section, path, value),
            part if EXPLAINED.contains_key(part) => {
                return self.with_part(section, path, Some(part), value);
            }
            word => EXPLAINED["words"].iter().any(|row| row.name == word && says(&row.meaning)),
        };
        if !fits {
            self.wrong(section, path, &format!("is no {kind}: {value}"));
        }
    }

    fn wrong(&mut self, section: &str, path: &str, what: &str) {
        self.wrong.insert(format!("{section}: {path} {what}"));
    }
}

/// Whether an object that is one of several kinds may lack a field, by its kind.
fn lacks(path: &str, object: &serde_json::Map<String, Value>, name: &str) -> bool {
    let kind = match path {
        "sources[]" => &object["source"],
        "misses[].lacks[]" => &object["code"],
        _ => return false,
    };
    let fields = OF_SEVERAL.iter().find(|(of, _)| kind == of).expect("one of the kinds").1;
    !fields.split(' ').any(|field| field == name)
}

/// Fails unless the answer to a command, as `Run` writes it, is what the help promises.
#[track_caller]
pub fn assert_kept(command: &str, answer: &Value) {
    let has = |word: &str| command.contains(&format!("{word:?}"));
    let name = match ["moves", "trap", "hunt", "gaps", "student", "about"]
        .into_iter()
        .find(|name| has(name))
    {
        Some("moves") if has("--claims") => "moves --claims",
        Some("trap") if has("--over") => "trap --over",
        Some("trap") if has("victim") => "trap --side victim",
        Some(name) => name,
        None => return,
    };
    let mut held = Held::default();
    held.answer(name, answer);
    assert!(held.wrong.is_empty(), "{command}:\n{:#?}", held.wrong);
}
