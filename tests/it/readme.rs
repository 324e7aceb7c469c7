//! The README and the topics of the help do what they say: every command runs, every printed sample
//! is what the program prints, every file that is shown is read, and every command, option and
//! topic that is named exists.
//!
//! A fence says what its block is: `sh` is a script; `console` is commands, each with its answer,
//! in which a line `...` stands for any lines; a second word, as in `pgn mate.pgn`, is the name of
//! a file that the blocks after it use; a block without a word is not run.

use std::collections::BTreeSet;
use std::fs;
use std::os::unix::fs::{PermissionsExt, symlink};
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

use deadfall::pages::help::{TOPICS, Topic};

use crate::kit::{Folder, Game, random_games};

const README: &str = include_str!("../../README.md");
const NOTES: &str = include_str!("../bench/NOTES.md");
const SAMPLE: &str = "data-samples/harbour-league-2031-05.pgn.zst";

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// A block of a document: what its fence says and its text.
struct Block {
    info: String,
    text: String,
}

fn blocks(document: &str) -> Vec<Block> {
    let fenced = document.split("\n```").skip(1).step_by(2);
    let block = |block: &str| {
        let (info, text) = block.split_once('\n').expect("a fence has a block");
        Block { info: info.to_owned(), text: format!("{text}\n") }
    };
    fenced.map(block).collect()
}

/// A store of the sample, counted once for all documents.
fn sample_store() -> &'static Path {
    static STORE: OnceLock<(Folder, PathBuf)> = OnceLock::new();
    let (_, path) = STORE.get_or_init(|| {
        let folder = Folder::new();
        let sample = root().join(SAMPLE);
        folder.run_with(&["build", "-q", &sample.display().to_string()]).ok();
        let path = folder.path("deadfall.redb");
        (folder, path)
    });
    path
}

/// A folder with the sample, the files that the commands speak of, and the program and what it is
/// used with in `bin`.
fn folder() -> Folder {
    let folder = Folder::new();
    symlink(root().join("data-samples"), folder.path("data-samples")).expect("it can be linked");
    ["bin", "dumps"].iter().for_each(|name| fs::create_dir(folder.path(name)).expect("new"));
    let program = env!("CARGO_BIN_EXE_deadfall");
    symlink(program, folder.path("bin/deadfall")).expect("it can be linked");
    for (name, text) in [("zstd", "#!/bin/sh\ncat \"${2%.zst}\"\n"), ("less", "#!/bin/sh\ncat\n")] {
        folder.write(&format!("bin/{name}"), text);
        let path = folder.path("bin").join(name);
        fs::set_permissions(path, fs::Permissions::from_mode(0o755)).expect("it is ours");
    }
    let months = [("next-month", 1), ("june", 2), ("harbour-2031-05", 3), ("harbour-2031-06", 4)];
    for (name, seed) in months {
        let mut text = random_games(seed, 1000, 40).concat();
        text += &Game::of("e4 e5 Nf3 f6 Nxe5 fxe5 Qh5").times(10);
        if name.ends_with("-06") {
            text = text.replace("2031.05.", "2031.06.");
        }
        folder.write(&format!("{name}.pgn"), &text);
        let packed = zstd::encode_all(text.as_bytes(), 1).expect("memory takes it");
        folder.write(&format!("{name}.pgn.zst"), packed);
    }
    folder.write("dumps/may.pgn", Game::of("e4 e5 Nf3 f6 Nxe5 fxe5 Qh5").times(20));
    folder
}

const START: &str = "set -e -o pipefail; export PATH=\"$PWD/bin:$PATH\"";

/// Runs a script; a claim may fail on the sample.
fn run_script(folder: &Folder, script: &str) {
    let claims = |line: &&str| line.contains(" --expect ") || line.contains(" --claims ");
    let may_fail =
        |line| if claims(&line) { format!("{line} || test $? = 1") } else { line.to_owned() };
    let lines: Vec<String> = script.lines().map(may_fail).collect();
    let run = folder.shell(&format!("{START}\n{}", lines.join("\n"))).ok();
    run.check(!run.stderr().contains("panicked"), "no panic");
}

/// Runs the commands of a sample and compares what they print.
fn compare_sample(folder: &Folder, sample: &str) {
    for part in format!("\n{sample}").split("\n$ ").skip(1) {
        let (command, expected) = part.split_once('\n').expect("an answer follows");
        let run = folder.shell(&format!("{START}\n{command} 2>&1")).ok();
        let printed = run.stdout();
        let mut left = format!("\n{}\n", printed.trim_end());
        for (place, piece) in format!("\n{}\n", expected.trim_end()).split("\n...").enumerate() {
            let found = left.find(piece).filter(|&at| place > 0 || at == 0);
            let Some(at) = found else {
                panic!("{command}\ndoes not print\n{piece}\nbut\n{printed}")
            };
            left = left.split_off(at + piece.len());
        }
        let is_open = expected.trim_end().ends_with("...");
        assert!(is_open || left.trim().is_empty(), "{command} prints more:\n{left}");
    }
}

fn try_out(document: &str, folder: &Folder) {
    for Block { info, text } in blocks(document) {
        let file = info.split_once(' ').map(|(_, name)| name);
        match (info.as_str(), file) {
            ("sh", _) => run_script(folder, &text),
            ("console", _) => compare_sample(folder, &text),
            (_, Some(name)) => folder.write(name, text),
            (_, None) => assert!(!text.contains("deadfall "), "never run:\n{text}"),
        }
    }
}

#[test]
fn the_readme_does_what_it_says() {
    let folder = folder();
    try_out(README, &folder);
    for made in
        ["deadfall.redb", "monday/lesson.html", "monday/cards.csv", "for-brine/student.html"]
    {
        assert!(folder.path(made).metadata().is_ok_and(|made| made.len() > 0), "{made}");
    }
    for path in ["scripts/demo", "scripts/test", "data-samples/lesson.png", "DEVELOPERS.md"] {
        assert!(README.contains(path) && root().join(path).exists(), "{path}");
    }
}

#[test]
fn the_topics_do_what_they_say() {
    for topic in &TOPICS {
        let folder = folder();
        fs::copy(sample_store(), folder.path("deadfall.redb")).expect("it can be copied");
        try_out(&topic.markdown(), &folder);
    }
}

/// The README and all topics, as they are read.
fn documents() -> impl Iterator<Item = String> {
    [README.to_owned()].into_iter().chain(TOPICS.iter().map(Topic::markdown))
}

#[test]
fn what_the_documents_name_exists() {
    let folder = Folder::new();
    let help = folder.run("--help").answer();
    let names = help.lines().skip_while(|line| *line != "Commands:").skip(1);
    let names = names.take_while(|line| !line.is_empty());
    let names = names
        .filter(|line| !line.starts_with("   "))
        .filter_map(|line| line.split_whitespace().next());
    let commands: BTreeSet<String> = names.map(str::to_owned).collect();
    let topics: BTreeSet<&str> = TOPICS.iter().map(|topic| topic.name).collect();
    let options: String =
        commands.iter().map(|name| folder.run(&format!("{name} --help")).answer()).collect();
    assert!(commands.len() > 10 && topics.len() == 8, "{commands:?}");
    for document in documents() {
        for after in document.split("deadfall ").skip(1) {
            let mut words = after.split(|sign: char| !(sign.is_ascii_lowercase() || sign == '-'));
            let (name, next) = (words.next().unwrap_or(""), words.next().unwrap_or(""));
            // Prose that goes on after the program's name.
            if name.is_empty() || !document.contains(&format!("`deadfall {name}")) {
                continue;
            }
            assert!(commands.contains(name), "deadfall {name}");
            let known = topics.contains(next) || commands.contains(next) || next.is_empty();
            assert!(name != "help" || known, "deadfall help {next}");
        }
        for option in document.split('`').skip(1).step_by(2).flat_map(str::split_whitespace) {
            let name = option.trim_end_matches(|sign: char| !sign.is_ascii_lowercase());
            // Of cargo, and of what runs a workflow.
            let others = ["--locked", "--path", "--snakefile", "--cores", "--config"];
            if name.starts_with("--") && !others.contains(&name) {
                let found =
                    options.split_whitespace().any(|word| word.trim_end_matches(',') == name);
                assert!(found, "{name} is no option");
            }
        }
    }
}

#[test]
fn what_a_month_takes_is_what_was_measured() {
    let month = Topic::named("month").expect("a topic").markdown();
    let rows: Vec<&str> = month.lines().filter(|line| line.contains(" million |")).collect();
    assert_eq!(rows.len(), 3);
    assert!(rows.iter().all(|row| NOTES.lines().any(|line| line == *row)), "{rows:?}");
}

#[test]
fn every_topic_is_listed_and_printed() {
    let folder = Folder::new();
    let list = folder.run("help").answer();
    for topic in &TOPICS {
        assert!(list.contains(&format!("\n  {} ", topic.name)), "{list}");
        let page = folder.run(&format!("help {}", topic.name)).answer();
        assert!(page.starts_with(&topic.plain()), "{}", topic.name);
    }
    // A word that is a command too explains both.
    assert!(folder.run("help hunt").answer().contains("--min-share"));
    let wide = |page: &str| page.lines().any(|line| line.chars().count() > 80);
    let commands = ["build", "join", "moves", "trap", "hunt", "gaps", "map", "student", "games"];
    for command in commands.iter().chain(&["lesson", "diagram", "about", "export", "help"]) {
        let page = folder.run(&format!("{command} --help")).answer();
        assert!(!wide(&page), "{page}");
    }
}

#[test]
fn an_unknown_topic_is_answered_with_the_nearest() {
    let folder = Folder::new();
    for (typed, nearest) in
        [("figure", "figures"), ("mnoth", "month"), ("Trap", "trap"), ("formast", "formats")]
    {
        let message = folder.run(&format!("help {typed}")).refused(2);
        assert!(message.contains(&format!("did you mean {nearest}?")), "{message}");
    }
    assert!(!folder.run("help xyzzy").refused(2).contains("did you mean"));
}
