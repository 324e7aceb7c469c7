//! Dumps and stores with bytes that are missing or wrong: no panic, and no wrong answer without a
//! word.

use std::sync::LazyLock;

use rand::rngs::StdRng;
use rand::{RngExt, SeedableRng};

use crate::kit::{Folder, Run, random_games};

static GAMES: LazyLock<Vec<String>> = LazyLock::new(|| random_games(17, 60, 40));

static TEXT: LazyLock<String> = LazyLock::new(|| GAMES.concat());

/// Frames of 20 games with checksums, as the zstd program writes them.
static FRAMES: LazyLock<Vec<u8>> = LazyLock::new(|| {
    GAMES
        .chunks(20)
        .flat_map(|games| {
            use std::io::Write;
            let mut encoder = zstd::Encoder::new(Vec::new(), 3).expect("memory");
            encoder.include_checksum(true).expect("a setting");
            encoder.write_all(games.concat().as_bytes()).expect("memory");
            encoder.finish().expect("memory")
        })
        .collect()
});

/// Places tried in each test; [`many_more_places`] tries more.
const FEW: usize = 40;

/// Builds from `dump`; the run and the games counted if it succeeded.
fn build(folder: &Folder, dump: &[u8]) -> Option<(Run, u64)> {
    folder.write("dump.pgn", dump);
    let run = folder.run("build dump.pgn --keep-from 1 --threads 1");
    assert!(!run.stderr().contains("panicked"), "{run}");
    if run.status() != Some(0) {
        assert_eq!(folder.files(), ["dump.pgn"], "something was left behind");
        let message = run.refused(3);
        assert!(message.contains("dump.pgn"), "{message}");
        let says_where = message.contains("byte") || message.contains("no game in");
        assert!(says_where, "no place: {message}");
        return None;
    }
    let about = folder.run("about --format json").json();
    let number = |name: &str| about[name].as_u64().expect("a number");
    let left_out: u64 = about["left_out"]
        .as_object()
        .expect("counters")
        .values()
        .filter_map(serde_json::Value::as_u64)
        .sum();
    assert_eq!(number("games_read"), number("games_counted") + left_out);
    Some((run, number("games_counted")))
}

fn cut_compressed(seed: u64, places: usize) {
    let mut chance = StdRng::seed_from_u64(seed);
    for _ in 0..places {
        let folder = Folder::new();
        let built = build(&folder, &FRAMES[..chance.random_range(0..FRAMES.len())]);
        let counted = built.map(|(_, games)| games);
        assert!(counted.is_none_or(|games| games % 20 == 0 && games < 60), "{counted:?}");
    }
}

fn cut_plain(seed: u64, places: usize) {
    let mut chance = StdRng::seed_from_u64(seed);
    for _ in 0..places {
        let folder = Folder::new();
        let cut = chance.random_range(0..TEXT.len());
        let mut ends = GAMES.iter().scan(0, |end, game| {
            *end += game.len();
            Some(*end)
        });
        // A game is whole with its end marker, before the empty line behind it.
        let whole = ends.by_ref().take_while(|end| end - 2 <= cut).count() as u64;
        match build(&folder, &TEXT.as_bytes()[..cut]) {
            Some((run, counted)) => {
                run.check(counted == whole, &format!("{whole} games before byte {cut}"))
            }
            None => assert_eq!(whole, 0),
        }
    }
}

fn flipped_compressed(seed: u64, places: usize) {
    let whole = Folder::built(&*FRAMES, "--keep-from 1");
    let wanted = whole.run("export").answer();
    let mut chance = StdRng::seed_from_u64(seed);
    for _ in 0..places {
        let folder = Folder::new();
        let mut bytes = FRAMES.clone();
        let place = chance.random_range(0..bytes.len());
        bytes[place] ^= 1 << chance.random_range(0..8);
        if build(&folder, &bytes).is_some() {
            assert!(folder.run("export").answer() == wanted, "byte {place}: other counts");
        }
    }
}

fn flipped_plain(seed: u64, places: usize) {
    let mut chance = StdRng::seed_from_u64(seed);
    for _ in 0..places {
        let folder = Folder::new();
        let mut bytes = TEXT.clone().into_bytes();
        let place = chance.random_range(0..bytes.len());
        bytes[place] ^= 1 << chance.random_range(0..8);
        let (run, counted) = build(&folder, &bytes).expect("plain text can be read");
        run.check(counted >= 58, &format!("58 games, byte {place}"));
    }
}

fn flipped_store(seed: u64, places: usize) {
    let folder = Folder::built(&*FRAMES, "--keep-from 1");
    let commands = ["moves e4", "about --verify", "export", "export --names"];
    let right = commands.map(|command| folder.run(command).answer());
    let store = folder.read("deadfall.redb");
    let mut chance = StdRng::seed_from_u64(seed);
    for _ in 0..places {
        let mut bytes = store.clone();
        let place = chance.random_range(0..bytes.len());
        bytes[place] ^= 1 << chance.random_range(0..8);
        folder.write("deadfall.redb", bytes);
        for (command, right) in commands.iter().zip(&right) {
            let run = folder.run(command);
            run.check(!run.stderr().contains("panicked"), &format!("no panic, byte {place}"));
            match run.status() {
                Some(0) => {
                    run.check(run.stdout() == *right, &format!("the right answer, byte {place}"))
                }
                status => {
                    run.check(status == Some(4), &format!("exit status 4, byte {place}"));
                    run.check(run.stderr().contains("deadfall.redb"), "the store's name");
                }
            }
        }
    }
}

fn flipped_store_to_add_to(seed: u64, places: usize) {
    let folder = Folder::built(&*FRAMES, "--keep-from 1");
    let store = folder.read("deadfall.redb");
    let mut chance = StdRng::seed_from_u64(seed);
    folder.write("more.pgn", random_games(6, 1, 40).concat());
    folder.run("build more.pgn --keep-from 1").ok();
    let right = folder.run("export").answer();
    for _ in 0..places {
        let mut bytes = store.clone();
        let place = chance.random_range(0..bytes.len());
        bytes[place] ^= 1 << chance.random_range(0..8);
        folder.write("deadfall.redb", &bytes);
        let run = folder.run("build more.pgn --keep-from 1 --threads 3");
        match run.status() {
            Some(0) => {
                assert!(folder.run("export").answer() == right, "byte {place}: other counts")
            }
            _ => {
                let message = run.refused(4);
                assert!(message.contains("deadfall.redb"), "byte {place}: {message}");
                assert!(folder.read("deadfall.redb") == bytes, "byte {place}: another store");
            }
        }
    }
}

#[test]
fn a_compressed_dump_cut_anywhere_is_refused_unless_between_frames() {
    cut_compressed(1, FEW);
}

#[test]
fn a_plain_dump_cut_anywhere_loses_the_game_cut_and_those_behind() {
    cut_plain(2, FEW);
}

#[test]
fn a_flipped_bit_in_a_compressed_dump_is_noticed() {
    flipped_compressed(3, FEW);
}

#[test]
fn a_flipped_bit_in_a_plain_dump_costs_at_most_the_games_around_it() {
    flipped_plain(4, FEW);
}

#[test]
fn a_flipped_bit_in_a_store_is_an_error_or_does_no_harm() {
    flipped_store(5, 2 * FEW);
}

#[test]
fn a_flipped_bit_in_a_store_to_add_to_is_an_error_or_does_no_harm() {
    flipped_store_to_add_to(6, FEW / 2);
}

#[test]
#[ignore = "slow: a minute in release"]
fn many_more_places() {
    let tests: [fn(u64, usize); 6] = [
        cut_compressed,
        cut_plain,
        flipped_compressed,
        flipped_plain,
        flipped_store,
        flipped_store_to_add_to,
    ];
    tests.into_iter().zip(101..).for_each(|(test, seed)| test(seed, 400));
}
