//! Dumps of many zstd frames, which workers decompress side by side: whatever the frames, the
//! threads and the memory, all is as with the same text in one frame.

use std::fs;
use std::io::{Read, Write};

use deadfall::counts::Counts;
use deadfall::importer::{BuildError, Memory, Plan, Progress, Stop, build};
use deadfall::ledger::CountedDump;
use deadfall::source::Place;
use deadfall::store::Store;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

use crate::batches::odd_text;
use crate::fuzzed::checks::dump::{Chance, in_frames};
use crate::kit::{Folder, Game, random_games};

fn one_frame(text: &[u8]) -> Vec<u8> {
    zstd::encode_all(text, 1).expect("memory")
}

/// Frames of so many bytes of text each, with the size of the content in their heads or not.
fn frames_of(text: &[u8], bytes: usize, sized: bool) -> Vec<u8> {
    let frame = |part: &[u8]| match sized {
        true => zstd::bulk::compress(part, 1).expect("memory"),
        false => one_frame(part),
    };
    text.chunks(bytes).flat_map(frame).collect()
}

/// Text that pieces and frames meet in every way, with games that count.
fn text(seed: u64, bytes: usize) -> String {
    let mut chance = ChaCha8Rng::seed_from_u64(seed);
    let mut text = String::new();
    while text.len() < bytes {
        text += &odd_text(&mut chance);
        text += ["\n\n", "} *\n\n", "} 1-0\n\n", ""][chance.random_range(0..4)];
        for _ in 0..chance.random_range(0..20) {
            let (white, black) = (chance.random_range(1..3000), chance.random_range(1..3000));
            text += &Game::of("e4 e5 Nf3 Nc6").ratings(white, black).to_string();
        }
    }
    match seed % 4 {
        0 => text.replace("[Event \"", "[Site \""),
        1 => text.replace('\n', "\r\n"),
        2 => text.replace('\n', "\r"),
        _ => text,
    }
}

/// How a dump is read.
#[derive(Clone, Copy, Debug)]
struct How {
    memory: Memory,
    threads: usize,
    keep_going: bool,
}

const PLAIN: How = How { memory: Memory::LEAST, threads: 1, keep_going: false };

/// All that a build of a dump says and stores but the file's own size and hash, or why
/// there is none.
fn built(folder: &Folder, dump: &[u8], how: How) -> Result<String, BuildError> {
    folder.write("dump.pgn.zst", dump);
    let plan = Plan::new(folder.path("one.redb"), vec![Place::File(folder.path("dump.pgn.zst"))]);
    let How { memory, threads, keep_going } = how;
    let plan = Plan { keep_from: 1, memory, threads, keep_going, ..plan };
    let outcome = build(&plan, &Progress::default(), &Stop::default())?;
    let CountedDump { source, examples } = &outcome.dumps[0];
    assert_eq!(source.games.games_read, source.games.games_counted + source.games.left_out.total());
    let store = Store::open(&plan.store).expect("a sound store");
    let positions = store.positions().map(|position| format!("{:?}\n", position.expect("sound")));
    let content: String = positions.collect();
    let (hash, games, bytes) = (source.hash, &source.games, source.fingerprint.bytes);
    let said = format!(
        "{hash} {bytes} {} {games:?}\n{examples:?}\n{:?}\n{content}",
        source.complete,
        store.totals()
    );
    drop(store);
    fs::remove_file(&plan.store).expect("it is there");
    Ok(said)
}

#[track_caller]
fn same(folder: &Folder, dump: &[u8], how: How, wanted: &str, of: &str) {
    let found = built(folder, dump, how).unwrap_or_else(|error| panic!("{of}, {how:?}: {error}"));
    // The lines before the positions say most.
    let heads = [&found, wanted].map(|said| said.lines().take(2).collect::<Vec<_>>().join("\n"));
    assert_eq!(heads[0], heads[1], "{of}, {how:?}");
    assert!(found == wanted, "{of}, {how:?}: other positions");
}

#[test]
fn frames_that_end_anywhere_do_not_show() {
    let plenty = Memory::new(2 << 30).expect("enough");
    let folder = Folder::new();
    let mut chance = Chance(91);
    for seed in 0..20 {
        let text = text(seed, 2_000 << (seed % 6));
        let wanted = built(&folder, &one_frame(text.as_bytes()), PLAIN).expect("games");
        for threads in 1..=4 {
            let (frames, ends) = in_frames(text.as_bytes(), &mut chance);
            let memory = [plenty, Memory::LEAST][chance.below(2)];
            let of = format!("seed {seed}, {} frames", ends.len());
            same(&folder, &frames, How { memory, threads, keep_going: false }, &wanted, &of);
        }
    }
}

/// Several batches each, frames that fit into a worker's share and others; also one
/// after the other.
#[test]
fn long_frames_do_not_show() {
    let plenty = Memory::new(2 << 30).expect("enough");
    let folder = Folder::new();
    for (seed, games) in [(104, false), (102, true)] {
        let text = match games {
            true => random_games(seed, 700, 60).concat().repeat(7),
            false => text(seed, 4_000_000),
        };
        let text = text.as_bytes();
        let wanted = built(&folder, &one_frame(text), PLAIN).expect("games");
        let (short, long) = text.split_at(text.len() / 5);
        let (middle, last) = long.split_at(text.len() / 5);
        let mixed =
            [frames_of(short, 7_001, true), one_frame(middle), frames_of(last, 900_000, false)];
        for (dump, of) in [
            (frames_of(text, 1_000_000, true), "a million bytes"),
            (frames_of(text, 2_500_003, false), "more than a batch"),
            (frames_of(text, 5_000, false), "a few games"),
            (mixed.concat(), "long and short ones"),
        ] {
            for (memory, threads) in [(Memory::LEAST, 8), (plenty, 2)] {
                same(&folder, &dump, How { memory, threads, keep_going: false }, &wanted, of);
            }
        }
    }
}

/// As much of the text as can be had from a dump that breaks off.
fn readable(dump: &[u8]) -> Vec<u8> {
    let mut decoder = zstd::stream::read::Decoder::with_buffer(dump).expect("memory");
    let (mut text, mut buffer) = (Vec::new(), [0; 512]);
    while let Ok(count @ 1..) = decoder.read(&mut buffer) {
        text.extend_from_slice(&buffer[..count]);
    }
    text
}

#[test]
fn what_can_be_read_of_frames_that_break_off_counts_if_asked_for() {
    let folder = Folder::new();
    let text = text(33, 400_000);
    let frames = frames_of(text.as_bytes(), 30_000, false);
    let garbage = [&frames[..], b"garbage"].concat();
    let skippable = [&frames[..], &[0x51, 0x2a, 0x4d, 0x18, 9, 0, 0, 0, 1]].concat();
    let cuts =
        [1, 5, 1_000, 9_000, frames.len() / 2].map(|cut| frames[..frames.len() - cut].to_vec());
    for (place, dump) in cuts.into_iter().chain([garbage, skippable]).enumerate() {
        let text = readable(&dump);
        let wanted = built(&folder, &one_frame(&text), PLAIN).expect("games");
        let wanted = wanted.replacen(" true ", " false ", 1);
        for threads in 1..=4 {
            let how = How { threads, ..PLAIN };
            let message = built(&folder, &dump, how).expect_err("it breaks off").to_string();
            let at = format!(" byte {} ", text.len());
            let after = format!(" after {} bytes ", text.len());
            assert!(message.contains(&at) || message.contains(&after), "{place}: {message}");
            same(&folder, &dump, How { keep_going: true, ..how }, &wanted, &format!("{place}"));
        }
    }
}

/// A frame that is whole and whose content is not: what is behind it does not count, though others
/// have decompressed it before.
#[test]
fn nothing_counts_behind_a_damaged_frame() {
    let folder = Folder::new();
    let games = Game::of("e4 e5 Nf3").times(4_000);
    let frames: Vec<Vec<u8>> = games
        .as_bytes()
        .chunks(60_000)
        .map(|part| {
            let mut encoder = zstd::Encoder::new(Vec::new(), 1).expect("memory");
            encoder.include_checksum(true).expect("a setting");
            encoder.write_all(part).expect("memory");
            encoder.finish().expect("memory")
        })
        .collect();
    let mut damaged = frames.clone();
    *damaged[3].last_mut().expect("a checksum") ^= 1;
    for threads in 1..=4 {
        let how = How { threads, ..PLAIN };
        let message = built(&folder, &damaged.concat(), how).expect_err("damaged").to_string();
        assert!(message.contains(" of its games: "), "{message}");
        let said = built(&folder, &damaged.concat(), How { keep_going: true, ..how });
        let said = said.expect("three frames are whole");
        let bytes: usize = said.split(' ').nth(1).expect("bytes").parse().expect("a number");
        assert!((180_000..=240_000).contains(&bytes), "{bytes}");
    }
}

#[test]
fn a_pipe_is_read_like_a_file() {
    let folder = Folder::new();
    let games = random_games(35, 500, 60).concat();
    folder.write("one.pgn.zst", one_frame(games.as_bytes()));
    folder.write("many.pgn.zst", frames_of(games.as_bytes(), 50_000, true));
    let exports =
        ["one.pgn.zst --threads 1", "many.pgn.zst --threads 2", "- --threads 3"].map(|dump| {
            let command = format!("\"$deadfall\" build {dump} --keep-from 1 < many.pgn.zst");
            folder.shell(&format!("rm -f deadfall.redb; {command}")).ok();
            let said = folder.run("about --format json").json()["sources"][0]["hash"].to_string();
            said + &folder.run("export --groups").answer()
        });
    assert!(exports[0] == exports[1] && exports[1] == exports[2]);
    let written =
        ["one", "many"].map(|name| folder.run(&format!("games e4 {name}.pgn.zst")).ok().stdout());
    assert!(written[0] == written[1] && written[0].len() > 1000);
}
