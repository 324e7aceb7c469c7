//! Stores that were written by releases: `tests/golden/store-format-N.redb`, each made of
//! `edge-games.pgn` with `--keep-from 1`.

use std::fs;
use std::path::Path;

use deadfall::store::schema::FORMAT;

use crate::kit::{Folder, golden};

/// The stores of the earlier formats too; of each the number of its format.
fn kept() -> Vec<u32> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/golden");
    let names = fs::read_dir(folder).expect("it can be listed");
    let names = names.map(|entry| entry.expect("it can be listed").file_name());
    let number =
        |name: &str| name.strip_prefix("store-format-")?.strip_suffix(".redb")?.parse().ok();
    names.filter_map(|name| number(name.to_str()?)).collect()
}

/// A folder in which the store of this format lies under its usual name.
fn with_store(format: u32) -> Folder {
    Folder::with("deadfall.redb", golden(&format!("store-format-{format}.redb")))
}

#[test]
fn a_store_of_this_format_answers_as_one_that_is_built_now() {
    let old = with_store(FORMAT);
    let new = Folder::with("dump.pgn", golden("edge-games.pgn"));
    new.run("build dump.pgn --keep-from 1").ok();
    for table in ["cells", "groups", "totals", "total-groups", "names"] {
        let options = match table {
            "cells" => "",
            "groups" => "--groups",
            "totals" => "--totals",
            "total-groups" => "--totals --groups",
            _ => "--names",
        };
        let table = String::from_utf8(golden(&format!("edge-games.{table}.csv"))).expect("text");
        assert!(old.run(&format!("export {options}")).answer() == table, "export {options}");
    }
    for command in [
        &["moves"][..],
        &["moves", "e4"],
        &["moves", "e4", "--by", "rating"],
        &["hunt", "--as", "white"],
        &["trap", "1. e4 e5 2. Nf3 f6?? 3. Nxe5"],
    ] {
        for format in ["table", "json", "csv"] {
            let command = [command, &["--min-sample", "2", "--format", format]].concat();
            let [old, new] = [&old, &new].map(|folder| folder.run_with(&command).ok().stdout());
            assert!(old == new, "{command:?}:\n{old}\n{new}");
        }
    }
    old.run("about --verify").ok();
    // It can be added to, too.
    old.write("more.pgn", golden("hand-counted.pgn"));
    old.run("build more.pgn").ok();
    new.write("more.pgn", golden("hand-counted.pgn"));
    new.run("build more.pgn").ok();
    assert!(old.run("export").answer() == new.run("export").answer());
}

#[test]
fn a_store_of_another_format_is_refused_with_what_to_do() {
    let kept = kept();
    assert!(kept.contains(&FORMAT), "no store of format {FORMAT} is kept: {kept:?}");
    for format in kept.into_iter().filter(|format| *format != FORMAT) {
        let folder = with_store(format);
        let before = folder.read("deadfall.redb");
        for command in ["moves", "about", "export", "hunt --as white", "build dump.pgn"] {
            folder.write("dump.pgn", golden("edge-games.pgn"));
            let why = folder.run(command).refused(4);
            assert!(why.contains(&format!("format {format}")), "{why}");
            assert!(why.contains("build it again from the dumps"), "{why}");
        }
        assert!(before == folder.read("deadfall.redb"), "it stays as it was");
    }
}
