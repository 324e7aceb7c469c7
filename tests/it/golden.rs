//! The program against the tables of the independent reference in `scripts/reference`, byte for
//! byte: hand-made edge cases, and 438 games that were really played.

use std::process::Command;

use crate::kit::{Folder, golden, real_dump};

/// Builds from `dump.pgn` and compares everything that the tables of `name` hold.
#[track_caller]
fn agrees_with(name: &str, folder: &Folder, options: &str) {
    folder.run(&format!("build dump.pgn {options}")).ok();
    for (table, export) in [
        ("cells", "export"),
        ("groups", "export --groups"),
        ("totals", "export --totals"),
        ("total-groups", "export --totals --groups"),
        ("names", "export --names"),
    ] {
        let (ours, reference) =
            (folder.run(export).answer(), golden(&format!("{name}.{table}.csv")));
        let reference = String::from_utf8(reference).expect("tables are text");
        let difference = ours.lines().zip(reference.lines()).find(|(ours, theirs)| ours != theirs);
        assert_eq!(
            difference, None,
            "{name}.{table}: the first line that differs, ours and theirs"
        );
        assert!(ours == reference, "{name}.{table}: one is longer");
    }
    let about = folder.run("about --format json").json();
    let summary: serde_json::Value =
        serde_json::from_slice(&golden(&format!("{name}.summary.json"))).expect("JSON");
    for (counter, value) in summary.as_object().expect("an object") {
        assert_eq!(about.get(counter), Some(value), "{name}: {counter}");
    }
}

#[test]
fn the_hand_made_games_are_counted_as_the_reference_counts_them() {
    let folder = Folder::with("dump.pgn", golden("edge-games.pgn"));
    agrees_with("edge-games", &folder, "--keep-from 1");
}

#[test]
fn the_hand_made_games_are_filtered_as_the_reference_filters_them() {
    let folder = Folder::with("dump.pgn", golden("edge-games.pgn"));
    let options =
        "--keep-from 1 --since 2031-05-01 --until 2031-05 --pace blitz,rapid --max-gap 400";
    agrees_with("edge-games-filtered", &folder, options);
}

#[test]
fn games_that_were_really_played_are_counted_as_the_reference_counts_them() {
    let Some(dump) = real_dump() else { return };
    let folder = Folder::with("dump.pgn", dump);
    let sum = Command::new("sha256sum").current_dir(folder.root()).arg("dump.pgn").output();
    let sum = sum.expect("sha256sum is at hand").stdout;
    let (sum, known) = (sum.split_at(64).0.to_owned(), golden("dump-438.sha256"));
    assert_eq!(sum, known.split_at(64).0, "the package holds other games than the tables are of");
    agrees_with("dump-438", &folder, "--keep-from 2");
}
