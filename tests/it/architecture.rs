//! Rules about the code itself.

use std::fs;
use std::path::{Path, PathBuf};

/// Each stage with the stages it may use; the order is that of `src/lib.rs`.
const STAGES: [(&str, &[&str]); 16] = [
    ("terms", &[]),
    ("source", &["games", "ledger"]),
    ("games", &["counts", "terms"]),
    ("plies", &["games", "counts", "terms"]),
    ("counts", &["terms"]),
    ("lines", &["games", "counts", "terms"]),
    ("ledger", &["games"]),
    ("importer", &["source", "games", "plies", "counts", "ledger", "store", "files", "terms"]),
    ("store", &["source", "games", "counts", "ledger", "terms"]),
    ("extract", &["source", "games", "plies", "counts", "lines", "terms"]),
    ("files", &["source"]),
    ("engine", &[]),
    ("answers", &["counts", "lines", "terms"]),
    ("pages", &["games", "counts", "lines", "ledger", "answers", "terms"]),
    (
        "cli",
        &[
            "source", "games", "plies", "counts", "lines", "ledger", "importer", "store",
            "extract", "files", "engine", "answers", "pages", "terms",
        ],
    ),
    ("main", &["cli"]),
];

/// Stages that compute and do nothing else.
const PURE: [&str; 8] =
    ["terms", "games", "plies", "counts", "lines", "ledger", "answers", "pages"];

/// What a pure stage must not touch: files, environment, time, threads, the store's and the
/// compressor's crates, the terminal.
const IMPURE: [&str; 10] = [
    "std::fs",
    "std::env",
    "std::time",
    "std::thread",
    "redb",
    "zstd",
    "rayon",
    "print!(",
    "println!(",
    "stdout()",
];

const LONGEST_FILE: usize = 450;

/// At this width rustfmt breaks code.
const WIDEST_COMMENT: usize = 100;

/// Folders of such names are passed over by tools that look for code.
const TAKEN_FOR_OUTPUT: [&str; 5] = ["bin", "build", "dist", "obj", "out"];

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// All Rust files below a folder with their text, by path from the package's root.
fn files(folder: &str) -> Vec<(String, String)> {
    let mut found = Vec::new();
    let mut folders = vec![root().join(folder)];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(&folder).expect("the folder can be listed") {
            let path: PathBuf = entry.expect("the folder can be listed").path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|extension| extension == "rs") {
                let name = path.strip_prefix(root()).expect("it lies below").display().to_string();
                found.push((name, fs::read_to_string(&path).expect("it can be read")));
            }
        }
    }
    found.sort();
    assert!(!found.is_empty(), "{folder} holds no code");
    found
}

/// Those of the program, its tests and its scripts.
fn all_files() -> Vec<(String, String)> {
    ["src", "tests", "scripts"].map(files).concat()
}

/// The lines of code, without comments, and their numbers.
fn code(text: &str) -> impl Iterator<Item = (usize, &str)> {
    let lines = text.lines().enumerate().map(|(place, line)| (place + 1, line));
    lines.map(|(number, line)| (number, line.split("//").next().unwrap_or(line)))
}

/// The stages that a line names as `crate::stage`.
fn used(line: &str) -> Vec<&'static str> {
    let names = |stage: &str| {
        line.match_indices(&format!("crate::{stage}")).any(|(place, name)| {
            let rest = &line[place + name.len()..];
            !rest.starts_with(|letter: char| letter.is_alphanumeric() || letter == '_')
        })
    };
    STAGES.map(|(stage, _)| stage).into_iter().filter(|stage| names(stage)).collect()
}

#[test]
fn every_folder_of_the_source_is_a_stage() {
    let mut folders: Vec<String> = fs::read_dir(root().join("src"))
        .expect("there is a source")
        .map(|entry| entry.expect("it can be listed").path())
        .filter(|path| path.is_dir())
        .map(|path| path.file_name().expect("a name").to_string_lossy().into_owned())
        .collect();
    folders.sort();
    let mut stages: Vec<&str> =
        STAGES.map(|(stage, _)| stage).into_iter().filter(|stage| *stage != "main").collect();
    stages.sort_unstable();
    assert_eq!(folders, stages);
}

#[test]
fn stages_use_only_the_stages_they_may() {
    for (stage, allowed) in STAGES.iter().filter(|(stage, _)| *stage != "main") {
        for (name, text) in files(&format!("src/{stage}")) {
            for (number, line) in code(&text) {
                let wrong: Vec<_> = used(line)
                    .into_iter()
                    .filter(|used| used != stage && !allowed.contains(used))
                    .collect();
                assert!(wrong.is_empty(), "{name}:{number} uses {wrong:?}");
            }
        }
    }
}

#[test]
fn what_the_stages_use_goes_round_in_no_circle() {
    let mut left: Vec<_> = STAGES.to_vec();
    while !left.is_empty() {
        let before = left.len();
        let waiting: Vec<&str> = left.iter().map(|(stage, _)| *stage).collect();
        left.retain(|(_, uses)| uses.iter().any(|used| waiting.contains(used)));
        assert!(left.len() < before, "a circle among {waiting:?}");
    }
}

#[test]
fn pure_stages_touch_nothing() {
    for stage in PURE {
        for (name, text) in files(&format!("src/{stage}")) {
            for (number, line) in code(&text) {
                let wrong = IMPURE.iter().find(|word| line.contains(*word));
                assert_eq!(wrong, None, "{name}:{number}: {line}");
            }
        }
    }
}

#[test]
fn no_file_is_too_long() {
    for (name, text) in all_files() {
        let lines = text.lines().count();
        assert!(lines <= LONGEST_FILE, "{name} has {lines} lines");
    }
}

/// Rows of tables cannot be broken.
#[test]
fn comments_are_no_wider_than_code() {
    for (name, text) in all_files() {
        for (number, line) in (1..).zip(text.lines()) {
            let comment = line.trim_start().strip_prefix("//");
            let breaks =
                comment.is_some_and(|it| !it.trim_start_matches(['/', '!', ' ']).starts_with('|'));
            let width = line.chars().count();
            assert!(!breaks || width <= WIDEST_COMMENT, "{name}:{number} has {width} columns");
        }
    }
}

#[test]
fn no_folder_of_code_looks_like_output() {
    for (name, _) in all_files() {
        let wrong = name.split('/').find(|folder| TAKEN_FOR_OUTPUT.contains(folder));
        assert_eq!(wrong, None, "{name}");
    }
}

#[test]
fn no_path_of_one_machine_is_written_down() {
    let here = concat!(env!("CARGO_MANIFEST_DIR"), "/");
    let homes = ["/home/", "/root/", "/Users/", here, "C:\\"];
    for (name, text) in all_files() {
        if name.ends_with("architecture.rs") {
            continue;
        }
        let wrong = homes.iter().find(|home| text.contains(**home));
        assert_eq!(wrong, None, "{name}");
    }
}
