//! Stores built apart, joined.

use crate::adding::{kings_pawn, queens_pawn, table};
use crate::kit::{Folder, random_games};

/// A folder with the stores `one.redb` and `two.redb`.
#[track_caller]
fn two(one: &str, two: &str, options: &str) -> Folder {
    let folder = Folder::with("one.pgn", one);
    folder.write("two.pgn", two);
    for name in ["one", "two"] {
        folder.run(&format!("build {name}.pgn --store {name}.redb {options}")).ok();
    }
    folder
}

#[test]
fn parts_that_keep_everything_join_to_what_one_build_gives() {
    let games = random_games(3, 310, 40);
    let [one, other, three] = [0..150, 150..220, 220..310].map(|part| games[part].concat());
    let folder = two(&one, &other, "--keep-from 1");
    folder.write("three.pgn", three);
    folder.run("build three.pgn --store three.redb --keep-from 1").ok();
    for keep_from in [1, 2, 5] {
        let all = format!("all-{keep_from}.redb");
        let joined = format!("joined-{keep_from}.redb");
        folder
            .run(&format!("build one.pgn two.pgn three.pgn --store {all} --keep-from {keep_from}"))
            .ok();
        let join = "join three.redb one.redb two.redb --threads 3";
        folder.run(&format!("{join} --store {joined} --keep-from {keep_from}")).ok();
        for table in ["export", "export --totals", "export --groups", "export --totals --groups"] {
            let [all, joined] = [&all, &joined]
                .map(|store| folder.run(&format!("{table} --store {store}")).answer());
            assert!(all == joined && all.lines().count() > 10, "{table}, keep from {keep_from}");
        }
        folder.run(&format!("about --verify --store {joined}")).ok();
    }
}

#[test]
fn the_ledgers_and_the_sums_of_a_join_are_those_of_all() {
    let folder = two(&kings_pawn(3), &queens_pawn(2), "--keep-from 2");
    folder.run("join one.redb two.redb --keep-from 3").ok();
    let about = folder.run("about --format json").json();
    let names: Vec<_> =
        about["sources"].as_array().expect("a list").iter().map(|source| &source["name"]).collect();
    assert_eq!(names, ["one.pgn", "two.pgn"]);
    assert_eq!((&about["games_read"], &about["games_counted"]), (&5.into(), &5.into()));
    // The start position is in both; the two positions behind 1. d4 have two games only.
    assert_eq!((&about["visits"], &about["visits_dropped"]), (&11.into(), &4.into()));
    // Those have two of fewer than three, and lack one of the other store.
    assert_eq!((&about["keep_from"], &about["absent_may_lack"]), (&3.into(), &3.into()));
}

#[test]
fn a_position_that_one_store_has_dropped_may_lack_games() {
    let folder = two(&(kings_pawn(3) + &queens_pawn(1)), &queens_pawn(4), "--keep-from 3");
    folder.run("join one.redb two.redb --keep-from 3").ok();
    let lacks = |line: &str| {
        let table = table(&folder, line);
        (table["games"].as_u64(), table["position"]["may_lack"].as_u64())
    };
    assert_eq!(lacks(""), (Some(8), Some(0)));
    assert_eq!(lacks("d4"), (Some(4), Some(2)));
    assert!(folder.run("moves d4").answer().contains("Up to 2 games may be missing"));
}

#[test]
fn a_store_that_exists_is_one_of_those_added_up() {
    let folder = two(&kings_pawn(3), &queens_pawn(2), "--keep-from 1");
    folder.run("join two.redb --store one.redb").ok();
    let games = |store: &str| {
        folder.run(&format!("moves --format json --store {store}")).json()["games"].clone()
    };
    assert_eq!((games("one.redb"), games("two.redb")), (5.into(), 2.into()));
    assert_eq!(folder.run("about --format json --store one.redb").json()["keep_from"], 1);
    assert_eq!(folder.files(), ["one.pgn", "one.redb", "two.pgn", "two.redb"]);
}

#[test]
fn the_same_dump_in_two_stores_is_refused() {
    let folder = two(&kings_pawn(3), &queens_pawn(2), "--keep-from 1");
    folder.run("build two.pgn --store one.redb").ok();
    let message = folder.run("join one.redb two.redb").refused(3);
    assert_eq!(
        message,
        "deadfall: two.pgn is in one.redb and in two.redb: its games would count twice; nothing was joined"
    );
    folder.shell("cp two.redb copy.redb").ok();
    folder.run("join two.redb copy.redb --store new.redb").refused(3);
    folder.remove("copy.redb");
    let before = folder.read("one.redb");
    folder.run("join two.redb --store one.redb").refused(3);
    assert!(folder.read("one.redb") == before);
    assert_eq!(folder.files(), ["one.pgn", "one.redb", "two.pgn", "two.redb"]);
}

#[test]
fn the_bound_of_a_joined_store_is_what_its_parts_may_lack() {
    let folder = two(&kings_pawn(7), &queens_pawn(6), "");
    folder.write("three.pgn", kings_pawn(1));
    folder.run("build three.pgn --store all.redb --keep-from 1").ok();
    for (join, bound) in [
        ("join one.redb --store new.redb", 4),
        ("join one.redb --store new.redb --keep-from 3", 4),
        ("join one.redb --store new.redb --keep-from 8", 7),
        ("join one.redb two.redb --store new.redb", 8),
        ("join one.redb two.redb all.redb --store new.redb --keep-from 1", 8),
        // Of one or of two games in the one, up to 8 in the others.
        ("join one.redb two.redb all.redb --store new.redb --keep-from 2", 8),
        ("join all.redb --store new.redb --keep-from 5", 4),
    ] {
        let run = folder.run(join).ok();
        let about = folder.run("about --store new.redb").answer();
        let said = format!("may have had up to {bound} games");
        let one_line = |text: String| text.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(one_line(run.stderr()).contains(&said), "{join}: {}", run.stderr());
        assert!(one_line(about.clone()).contains(&said), "{join}: {about}");
        folder.remove("new.redb");
    }
}

#[test]
fn stores_by_other_rules_are_refused_with_both_values() {
    let folder = two(&kings_pawn(3), &queens_pawn(2), "--half-moves 20");
    folder.run("build two.pgn --store other.redb --half-moves 12").ok();
    let message = folder.run("join one.redb other.redb").refused(2);
    assert_eq!(
        message,
        "deadfall: one.redb was built with --half-moves 20, other.redb with --half-moves 12: \
         stores by different rules cannot be joined"
    );
}

#[test]
fn a_missing_or_damaged_store_is_named_and_nothing_is_made() {
    let folder = two(&kings_pawn(3), &queens_pawn(2), "--keep-from 1");
    let message = folder.run("join one.redb missing.redb").refused(4);
    assert!(message.contains("missing.redb"), "{message}");
    let mut bytes = folder.read("two.redb");
    let half = bytes.len() / 2;
    bytes[4096..half].iter_mut().for_each(|byte| *byte ^= 0x5a);
    folder.write("two.redb", bytes);
    let message = folder.run("join one.redb two.redb").refused(4);
    assert!(message.contains("two.redb"), "{message}");
    assert_eq!(folder.files(), ["one.pgn", "one.redb", "two.pgn", "two.redb"]);
}

/// What several stores may lack is added up, so none of them may lack nearly everything.
#[test]
fn keep_from_has_a_limit_and_what_is_lacking_adds_up() {
    let folder = two(&kings_pawn(3), &queens_pawn(2), "--keep-from 4294967295");
    for keep_from in ["4294967296", "18446744073709551615", "18446744073709551616", "0"] {
        for command in ["build one.pgn --store new.redb", "join one.redb two.redb"] {
            let run = folder.run(&format!("{command} --keep-from {keep_from}")).exits(2);
            run.check(run.stderr().contains("'--keep-from <N>'"), "the option's name");
        }
    }
    folder.run("join one.redb two.redb --keep-from 1").ok();
    let about = folder.run("about --format json").json();
    assert_eq!(about["absent_may_lack"], 2 * 4_294_967_294_u64);
    assert!(!folder.path("new.redb").exists());
}
