//! Games by group of players: the same player in the same group everywhere, and no name
//! on the disk.

use std::collections::BTreeMap;

use xxhash_rust::xxh3::xxh3_64;

use crate::kit::{Folder, Game, dump};

fn game(white: &str, black: &str) -> Game {
    Game::of("e4 e5 Nf3").tag("White", white).tag("Black", black)
}

fn group(name: &str) -> u64 {
    xxh3_64(name.as_bytes()) >> 59
}

/// Games by the cells of a row before the last, which are `keep` of them.
fn sums(table: &str, keep: &[&str]) -> BTreeMap<Vec<String>, u64> {
    let mut reader = csv::Reader::from_reader(table.as_bytes());
    let places: Vec<usize> = {
        let head = reader.headers().expect("a head");
        let place = |name: &&str| head.iter().position(|column| column == *name).expect(name);
        keep.iter().chain(&["games"]).map(place).collect()
    };
    let mut sums = BTreeMap::new();
    for row in reader.records().map(|row| row.expect("a row")) {
        let (games, cells) = places.split_last().expect("one at least");
        let cells = cells.iter().map(|&place| row[place].to_owned()).collect();
        *sums.entry(cells).or_insert(0) += row[*games].parse::<u64>().expect("a number");
    }
    sums
}

#[test]
fn a_player_is_in_one_group_in_every_dump_and_store() {
    let folder = Folder::with("one.pgn", dump(&[game("Pilot", "Quay"), game("QUAY", "?")]));
    folder.write("two.pgn", dump(&[game(" pilot", "Bosun"), game("Bosun", "Pilot")]));
    for name in ["one", "two"] {
        folder.run(&format!("build {name}.pgn --keep-from 1 --store {name}.redb")).ok();
    }
    folder.run("join one.redb two.redb --store both.redb --keep-from 1").ok();
    let first_moves = |store: &str| {
        let table = folder.run(&format!("export --groups --store {store}.redb")).answer();
        sums(&table, &["move", "group"])
    };
    let row = |group: u64| vec!["e2e4".to_owned(), group.to_string()];
    let wanted = |players: &[(&str, u64)]| -> BTreeMap<Vec<String>, u64> {
        players.iter().map(|&(name, games)| (row(group(name)), games)).collect()
    };
    let of_white = |store: &str| -> BTreeMap<Vec<String>, u64> {
        first_moves(store).into_iter().filter(|(cells, _)| cells[0] == "e2e4").collect()
    };
    assert_eq!(of_white("one"), wanted(&[("pilot", 1), ("quay", 1)]));
    assert_eq!(of_white("two"), wanted(&[("pilot", 1), ("bosun", 1)]));
    assert_eq!(of_white("both"), wanted(&[("pilot", 2), ("quay", 1), ("bosun", 1)]));
}

#[test]
fn groups_add_up_to_the_other_tables() {
    let games: Vec<Game> = (0..200)
        .map(|n: u16| {
            let (white, black) = (1200 + n % 7 * 60, 1500 - n % 5 * 80);
            game(&format!("Player {}", n % 40), &format!("Player {}", n % 11))
                .ratings(white, black)
                .tag("TimeControl", ["60+0", "300+3"][usize::from(n % 2)])
        })
        .collect();
    let folder = Folder::built(dump(&games), "--keep-from 1");
    let table = |options: &str| folder.run(&format!("export {options}")).answer();
    let cell = ["key", "move", "band", "pace"];
    assert_eq!(sums(&table("--groups"), &cell), sums(&table(""), &cell));
    let total = ["colour", "band", "pace"];
    assert_eq!(sums(&table("--totals --groups"), &total), sums(&table("--totals"), &total));
    folder.run("export --names --groups").refused(2);
}

#[test]
fn sides_without_a_name_are_counted_for_each_dump_and_told() {
    let nameless = [game("?", "-"), Game::of("d4 d5"), game("Pilot", ""), game("Pilot", "Quay")];
    let folder = Folder::with("one.pgn", dump(&nameless));
    folder.write("two.pgn", dump(&[game("Pilot", "Quay"), game("Pilot", "?").result("*")]));
    folder.run("build one.pgn two.pgn --keep-from 1").ok();
    let about = folder.run("about --format json").json();
    let of_each: Vec<_> = about["sources"]
        .as_array()
        .expect("a list")
        .iter()
        .map(|source| source["nameless_sides"].as_u64())
        .collect();
    assert_eq!(of_each, [Some(5), Some(0)], "games that do not count have no sides");
    assert_eq!(about["nameless_sides"], 5);
    assert!(folder.run("about").answer().contains("5 of the 10 sides of these games have no"));
    folder.run("build two.pgn --keep-from 1 --store two.redb").ok();
    assert!(!folder.run("about --store two.redb").answer().contains("have no player's name"));
}

#[test]
fn neither_a_name_nor_more_of_its_hash_than_the_group_is_in_a_store() {
    let names = ["Harbourmaster", "Lighthousekeeper"];
    let folder = Folder::built(game(names[0], names[1]).times(9), "--keep-from 1");
    let store = folder.read("deadfall.redb").to_ascii_lowercase();
    for name in names.map(str::to_ascii_lowercase) {
        let hash = xxh3_64(name.as_bytes());
        let traces: [&[u8]; 4] = [
            name.as_bytes(),
            &name.as_bytes()[..6],
            &hash.to_le_bytes().to_ascii_lowercase()[4..],
            &hash.to_be_bytes().to_ascii_lowercase()[..4],
        ];
        for trace in traces {
            assert_eq!(memchr::memmem::find(&store, trace), None, "{name}: {trace:?}");
        }
    }
}
