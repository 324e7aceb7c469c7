//! Adding dumps to a store: what adds up, what may be missing, what is refused.

use crate::kit::{Folder, Game, dump, gzip};

pub fn kings_pawn(count: usize) -> String {
    Game::of("e4 e5 Nf3").times(count)
}

pub fn queens_pawn(count: usize) -> String {
    Game::of("d4 d5 c4").result("0-1").ratings(1800, 1200).times(count)
}

/// The move table after a line.
#[track_caller]
pub fn table(folder: &Folder, line: &str) -> serde_json::Value {
    folder.run_with(&["moves", line, "--format", "json"]).json()
}

#[test]
fn what_keeps_everything_is_the_same_added_as_built_at_once() {
    let folder = Folder::with("a.pgn", kings_pawn(2));
    folder.write("b.pgn", kings_pawn(1) + &queens_pawn(3));
    folder.run("build a.pgn --keep-from 1 --store one.redb").ok();
    folder.run("build b.pgn --store one.redb").ok();
    folder.run("build a.pgn b.pgn --keep-from 1 --store two.redb").ok();
    for export in ["export", "export --totals", "export --names"] {
        let [one, two] = ["one", "two"]
            .map(|store| folder.run(&format!("{export} --store {store}.redb")).answer());
        assert_eq!(one, two, "{export}");
    }
}

#[test]
fn a_position_dropped_before_may_lack_what_was_dropped() {
    let folder = Folder::with("a.pgn", kings_pawn(5) + &queens_pawn(2));
    folder.write("b.pgn", queens_pawn(4));
    folder.run("build a.pgn --keep-from 3").ok();
    folder.run("build b.pgn").ok();
    let lacks = |line: &str| table(&folder, line)["position"]["may_lack"].clone();
    assert_eq!(
        serde_json::json!([lacks(""), lacks("e4"), lacks("d4")]),
        serde_json::json!([0, 0, 2])
    );
    assert_eq!(table(&folder, "d4")["games"], 4);
    assert!(
        folder.run("moves d4").answer().contains("Up to 2 games may be missing"),
        "{}",
        folder.run("moves d4")
    );
}

#[test]
fn what_may_be_missing_adds_up_over_the_builds() {
    let folder = Folder::with("a.pgn", kings_pawn(5) + &queens_pawn(2));
    folder.write("same.pgn", kings_pawn(1));
    folder.write("b.pgn", queens_pawn(1));
    folder.write("c.pgn", queens_pawn(3));
    let bound = || folder.run("about --format json").json()["absent_may_lack"].clone();
    folder.run("build a.pgn --keep-from 3").ok();
    // All its positions are in the store already, so nothing more was dropped.
    folder.run("build same.pgn").ok();
    assert_eq!(bound(), 2);
    folder.run("build b.pgn").ok();
    assert_eq!(bound(), 4);
    folder.run("build c.pgn").ok();
    let table = table(&folder, "d4");
    assert_eq!((&table["games"], &table["position"]["may_lack"]), (&3.into(), &4.into()));
}

#[test]
fn a_position_kept_before_stays_exact() {
    let folder = Folder::with("a.pgn", queens_pawn(3));
    folder.write("b.pgn", queens_pawn(1));
    folder.run("build a.pgn --keep-from 3").ok();
    folder.run("build b.pgn").ok();
    let table = table(&folder, "d4");
    assert_eq!((&table["games"], &table["position"]["may_lack"]), (&4.into(), &0.into()));
}

#[test]
fn a_store_remembers_its_dumps_and_what_was_dropped() {
    let folder = Folder::with("a.pgn", kings_pawn(5) + &queens_pawn(1));
    folder.write("b.pgn", queens_pawn(2));
    folder.run("build a.pgn --keep-from 3").ok();
    folder.run("build b.pgn").ok();
    let about = folder.run("about --format json").json();
    let names: Vec<_> = about["sources"].as_array().expect("a list").iter().collect();
    assert_eq!((&names[0]["name"], &names[1]["name"]), (&"a.pgn".into(), &"b.pgn".into()));
    assert_eq!((&about["games_read"], &about["games_counted"]), (&8.into(), &8.into()));
    assert_eq!((&about["visits"], &about["visits_dropped"]), (&18.into(), &6.into()));
}

#[test]
fn the_same_dump_again_is_refused_and_changes_nothing() {
    let folder = Folder::built(kings_pawn(3), "--keep-from 1");
    let before = folder.read("deadfall.redb");
    let message = folder.run("build dump.pgn").refused(3);
    assert_eq!(message, "deadfall: dump.pgn is already in deadfall.redb; nothing was added");
    assert!(folder.read("deadfall.redb") == before);
    assert_eq!(folder.files(), ["deadfall.redb", "dump.pgn"]);
}

#[test]
fn the_same_games_compressed_or_renamed_are_the_same_dump() {
    let folder = Folder::built(kings_pawn(3), "--keep-from 1");
    folder.write("other.pgn", kings_pawn(3));
    folder.write("other.zst", zstd::encode_all(kings_pawn(3).as_bytes(), 3).expect("memory"));
    folder.write("other.gz", gzip(kings_pawn(3).as_bytes()));
    let before = folder.read("deadfall.redb");
    for name in ["other.pgn", "other.zst", "other.gz"] {
        let message = folder.run(&format!("build {name}")).refused(3);
        assert!(message.contains("already in deadfall.redb as dump.pgn"), "{message}");
    }
    let message = folder.run_on(kings_pawn(3).as_bytes(), "build -").refused(3);
    assert!(message.contains("standard input is already in"), "{message}");
    assert!(folder.read("deadfall.redb") == before);
}

#[test]
fn the_same_dump_twice_in_one_build_is_refused() {
    let folder = Folder::with("a.pgn", kings_pawn(3));
    folder.write("b.pgn", kings_pawn(3));
    let message = folder.run("build a.pgn b.pgn").refused(3);
    assert!(message.contains("b.pgn and a.pgn are the same dump"), "{message}");
    assert_eq!(folder.files(), ["a.pgn", "b.pgn"]);
}

#[test]
fn one_known_dump_among_new_ones_keeps_all_of_them_out() {
    let folder = Folder::built(kings_pawn(3), "--keep-from 1");
    folder.write("new.pgn", queens_pawn(3));
    let before = folder.read("deadfall.redb");
    folder.run("build new.pgn dump.pgn").refused(3);
    assert!(folder.read("deadfall.redb") == before);
}

#[test]
fn other_rules_are_refused_with_both_values() {
    let rows = [
        ("--half-moves 12", "--half-moves", "20", "12"),
        ("--since 2031-05", "--since", "not set", "2031-05"),
        ("--until 2031-05-03", "--until", "not set", "2031-05-03"),
        ("--pace rapid,blitz", "--pace", "not set", "blitz, rapid"),
        ("--max-gap 200", "--max-gap", "300", "200"),
    ];
    let folder = Folder::built(kings_pawn(3), "--keep-from 1 --half-moves 20 --max-gap 300");
    folder.write("new.pgn", queens_pawn(1));
    let before = folder.read("deadfall.redb");
    for (option, name, theirs, ours) in rows {
        let message = folder.run(&format!("build new.pgn {option}")).refused(2);
        let both = format!("built with {name} {theirs}, this build has {name} {ours}");
        assert!(message.contains(&both), "{message}");
    }
    assert!(folder.read("deadfall.redb") == before);
}

#[test]
fn rules_that_are_not_said_are_those_of_the_store() {
    let folder = Folder::built(kings_pawn(3), "--keep-from 1 --half-moves 2 --max-gap 300");
    folder.write("new.pgn", dump(&[Game::of("c4 c5 Nf3"), Game::of("c4 c5").ratings(1000, 1301)]));
    folder.run("build new.pgn").ok();
    let about = folder.run("about --format json").json();
    assert_eq!((&about["half_moves"], &about["left_out"]["rating_gap"]), (&2.into(), &1.into()));
    assert_eq!(table(&folder, "c4 c5")["games"], 0);
}

#[test]
fn a_name_with_the_larger_tally_stays() {
    let named = |name: &str, count| Game::of("e4 c6").opening("B10", name).times(count);
    let folder = Folder::with("a.pgn", named("Harbour Defence", 2));
    folder.write("b.pgn", named("Lighthouse Defence", 3));
    folder.run("build a.pgn --keep-from 1").ok();
    folder.run("build b.pgn").ok();
    let position = table(&folder, "e4")["position"].clone();
    assert_eq!(
        (&position["name"], &position["eco"]),
        (&"Lighthouse Defence".into(), &"B10".into())
    );
}
