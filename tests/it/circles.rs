//! No two files need each other, not even by way of others.
//!
//! A file needs another if it names something that is defined there: in a `use`, or by a path
//! in its code. What a file only lists and hands on (`mod`, `pub use`) it does not need.
//! Methods and macros are not followed, so a circle that this finds is one, and one of methods
//! alone is not found.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

/// The files from which all others are reached, with the name by which others call what they hold.
const ROOTS: [(&str, &str); 5] = [
    ("deadfall", "src/lib.rs"),
    ("", "tests/it/main.rs"),
    ("", "tests/fuzz/lib.rs"),
    ("", "scripts/invent/main.rs"),
    ("", "scripts/coverage/main.rs"),
];

/// A module by its root and the names that lead to it.
type Place = (usize, Vec<String>);

struct Module {
    file: String,
    /// Names that are defined there.
    defined: BTreeSet<String>,
    /// What a `use` brings in under a name, and whether it is handed on; `*` for all of a module.
    brought: Vec<(String, Place, bool)>,
    /// Paths in the code.
    named: Vec<Place>,
}

#[derive(Default)]
struct Code {
    modules: BTreeMap<Place, Module>,
}

fn words(text: &str) -> Vec<String> {
    text.split("::").filter(|word| !word.is_empty()).map(str::to_owned).collect()
}

/// The paths of a `use`, braces written out, each with the name that it brings in.
fn written_out(tree: &str) -> Vec<(String, String)> {
    let Some((head, rest)) = tree.split_once('{') else {
        let (path, name) = tree.split_once(" as ").unwrap_or((tree, ""));
        let path = path.trim().trim_end_matches("::self");
        let last = path.rsplit("::").next().unwrap_or(path);
        return vec![(
            path.to_owned(),
            if name.is_empty() { last } else { name.trim() }.to_owned(),
        )];
    };
    let (mut parts, mut depth) = (vec![String::new()], 0);
    for letter in rest.trim_end().trim_end_matches('}').chars() {
        depth += i32::from(letter == '{') - i32::from(letter == '}');
        match (letter, depth) {
            (',', 0) => parts.push(String::new()),
            _ => parts.last_mut().expect("it begins with one").push(letter),
        }
    }
    let parts = parts.iter().filter(|part| !part.trim().is_empty());
    parts.flat_map(|part| written_out(&format!("{}{}", head.trim(), part.trim()))).collect()
}

/// Paths of at least two names.
fn paths(code: &str) -> impl Iterator<Item = &str> {
    let is_part = |letter: char| letter.is_alphanumeric() || letter == '_' || letter == ':';
    let parts = code.split(move |letter| !is_part(letter));
    parts.filter(|part| part.contains("::") && !part.starts_with(':'))
}

/// Names behind a word that defines one.
fn defined(code: &str) -> BTreeSet<String> {
    const DEFINE: [&str; 7] = ["struct", "enum", "fn", "trait", "const", "static", "type"];
    let words: Vec<&str> = code
        .split(|letter: char| !letter.is_alphanumeric() && letter != '_')
        .filter(|word| !word.is_empty())
        .collect();
    let pairs = words.windows(2).filter(|pair| DEFINE.contains(&pair[0]));
    pairs.map(|pair| pair[1].to_owned()).collect()
}

impl Code {
    /// Reads a file and those below it.
    fn read(&mut self, root: &Path, file: &Path, place: Place) {
        let text = fs::read_to_string(root.join(file));
        let text = text.unwrap_or_else(|error| panic!("{}: {error}", file.display()));
        let folder = file.parent().expect("a file lies in a folder");
        let stem = file.file_stem().expect("a file has a name").to_string_lossy();
        let is_face = ["lib", "main", "mod"].contains(&&*stem);
        let below = if is_face { folder.to_owned() } else { folder.join(&*stem) };
        let (mut uses, mut statement, mut code) = (Vec::new(), String::new(), String::new());
        let (mut elsewhere, mut inside) = (None, false);
        for line in text.lines().map(|line| line.split("//").next().unwrap_or(line)) {
            // Within `mod tests`, what is above is the file itself.
            let line = if inside { line.replacen("super::", "self::", 1) } else { line.to_owned() };
            let bare = line.trim();
            inside |= line.starts_with("mod ") && bare.ends_with('{');
            if let Some(path) = bare.strip_prefix("#[path = \"") {
                elsewhere = Some(folder.join(path.trim_end_matches("\"]")));
            } else if bare.ends_with(';') && format!(" {bare}").contains(" mod ") {
                let name = bare.trim_end_matches(';').rsplit(' ').next().expect("a name");
                let usual = [below.join(format!("{name}.rs")), below.join(name).join("mod.rs")];
                let usual = usual.into_iter().find(|path| root.join(path).exists());
                let at = elsewhere.take().or(usual).expect("a module has a file");
                let inner = [&place.1[..], &[name.to_owned()]].concat();
                self.read(root, &plain(&at), (place.0, inner));
            } else if !statement.is_empty() || format!(" {bare}").contains(" use ") {
                statement = format!("{statement} {bare}");
                if bare.ends_with(';') {
                    uses.push(std::mem::take(&mut statement));
                }
            } else {
                code += &line;
                code.push('\n');
            }
        }
        let mut module = Module {
            file: file.display().to_string(),
            defined: defined(&code),
            brought: Vec::new(),
            named: Vec::new(),
        };
        for text in uses {
            let (visible, tree) = text.split_once("use ").expect("it was found by that");
            for (path, name) in written_out(tree.trim_end_matches(';')) {
                let known = self.absolute(&module, &place, &words(&path));
                module.brought.extend(known.map(|at| (name, at, visible.contains("pub"))));
            }
        }
        let known = paths(&code).filter_map(|path| self.absolute(&module, &place, &words(path)));
        module.named = known.collect();
        self.modules.insert(place, module);
    }

    /// Where a path leads, as it is written in a module; `None` if it leads to another package.
    fn absolute(&self, module: &Module, (root, here): &Place, path: &[String]) -> Option<Place> {
        let (first, rest) = path.split_first()?;
        let named = ROOTS.iter().position(|(name, _)| !name.is_empty() && name == first);
        if let Some(root) = named.or((first == "crate").then_some(*root)) {
            return Some((root, rest.to_vec()));
        }
        if first == "self" || first == "super" {
            let down = &path[usize::from(first == "self")..];
            let ups = down.iter().take_while(|word| *word == "super").count();
            let up = &here[..here.len().checked_sub(ups)?];
            return Some((*root, [up, &down[ups..]].concat()));
        }
        let below = |inner: &[String]| (*root, [here, inner].concat());
        match module.brought.iter().find(|(name, _, _)| name == first) {
            Some((_, (root, at), _)) => Some((*root, [&at[..], rest].concat())),
            None => self.modules.contains_key(&below(&path[..1])).then(|| below(path)),
        }
    }

    /// The file that defines what a path leads to, and its name there.
    fn definition(&self, (root, path): &Place, depth: usize) -> Option<(&str, String)> {
        let lengths = (0..=path.len()).rev();
        let mut modules = lengths.map(|n| (n, self.modules.get(&(*root, path[..n].to_vec()))));
        let (n, module) = modules.find_map(|(n, module)| Some((n, module?)))?;
        let (name, rest) = path[n..].split_first()?;
        if module.defined.contains(name) {
            return Some((&module.file, name.clone()));
        }
        let handed = module.brought.iter().filter(|(known, _, _)| known == name || known == "*");
        handed.filter(|_| depth < 8).find_map(|(known, (root, at), _)| {
            let at = if known == "*" {
                [&at[..at.len() - 1], &path[n..]].concat()
            } else {
                [&at[..], rest].concat()
            };
            self.definition(&(*root, at), depth + 1)
        })
    }

    /// For each file those that it needs, with the names.
    fn needs(&self) -> BTreeMap<&str, BTreeMap<&str, BTreeSet<String>>> {
        let mut needs: BTreeMap<&str, BTreeMap<&str, BTreeSet<String>>> = BTreeMap::new();
        for module in self.modules.values() {
            let used = module.brought.iter().filter(|(_, _, handed_on)| !handed_on);
            let used = used.map(|(_, place, _)| place).chain(&module.named);
            for (file, name) in used.filter_map(|place| self.definition(place, 0)) {
                if file != module.file {
                    let names = needs.entry(&module.file).or_default().entry(file).or_default();
                    names.insert(name);
                }
            }
        }
        needs
    }
}

/// The path without `..`.
fn plain(path: &Path) -> PathBuf {
    let mut plain = PathBuf::new();
    for part in path.components() {
        match part {
            std::path::Component::ParentDir => drop(plain.pop()),
            part => plain.push(part),
        }
    }
    plain
}

/// What each file needs, itself or by way of others.
fn reached<'n>(
    needs: &BTreeMap<&'n str, BTreeMap<&'n str, BTreeSet<String>>>,
    from: &'n str,
) -> BTreeSet<&'n str> {
    let (mut reached, mut waiting) = (BTreeSet::new(), vec![from]);
    while let Some(file) = waiting.pop() {
        for next in needs.get(file).into_iter().flat_map(|next| next.keys()) {
            if reached.insert(*next) {
                waiting.push(next);
            }
        }
    }
    reached
}

#[test]
fn no_two_files_need_each_other() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut code = Code::default();
    for (place, (_, file)) in ROOTS.iter().enumerate() {
        code.read(root, Path::new(file), (place, Vec::new()));
    }
    let needs = code.needs();
    let links: usize = needs.values().map(BTreeMap::len).sum();
    assert!(links > 1000, "only {links} links were found");
    let mut circles = Vec::new();
    for (file, needed) in &needs {
        for (other, names) in needed {
            if reached(&needs, other).contains(file) {
                circles.push(format!("{file} needs {other} for {names:?}"));
            }
        }
    }
    assert!(circles.is_empty(), "files in circles:\n{}", circles.join("\n"));
}

/// What the reading of code rests on.
#[test]
fn a_use_is_written_out() {
    let tree = "super::{figures::{Shown, Unit as Kind}, words::{self, clean}}";
    let want = [
        ("super::figures::Shown", "Shown"),
        ("super::figures::Unit", "Kind"),
        ("super::words", "words"),
        ("super::words::clean", "clean"),
    ];
    assert_eq!(written_out(tree), want.map(|(path, name)| (path.to_owned(), name.to_owned())));
}
