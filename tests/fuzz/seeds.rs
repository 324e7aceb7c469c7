//! Inputs to begin with, cut out of the sample dump and the golden games.

use std::fs::{self, File};
use std::io::{Read, Write};
use std::path::{Path, PathBuf};

use deadfall::games::last_cut;
use deadfall::importer::{Memory, Plan, Progress, Stop, build};
use deadfall::source::Place;
use deadfall::store::Store;

/// Writes the seeds of a target into the folder that `FUZZ_SEEDS` names and ends the program; does
/// nothing without it.
pub fn write_if_asked(seeds: fn() -> Vec<Vec<u8>>) {
    let Some(folder) = std::env::var_os("FUZZ_SEEDS").map(PathBuf::from) else { return };
    fs::create_dir_all(&folder).expect("the folder can be made");
    for (number, seed) in seeds().iter().enumerate() {
        fs::write(folder.join(format!("seed-{number:04}")), seed).expect("the folder is writable");
    }
    std::process::exit(0);
}

/// Texts of one game and of a few.
pub fn reader() -> Vec<Vec<u8>> {
    let golden =
        ["edge-games.pgn", "hand-counted.pgn"].map(|name| file(&format!("tests/golden/{name}")));
    let games: Vec<Vec<u8>> = golden.iter().flat_map(|text| apart(text)).collect();
    let some = games.chunks(3).map(<[Vec<u8>]>::concat);
    let mut seeds: Vec<Vec<u8>> = some.collect();
    seeds.extend(games);
    seeds.extend(apart(&sample(60_000)));
    seeds.push(file("data-samples/traps.pgn"));
    seeds
}

/// The same texts.
pub fn counts() -> Vec<Vec<u8>> {
    let mut seeds = reader();
    let sample = apart(&sample(60_000));
    seeds.extend(sample.chunks(6).map(<[Vec<u8>]>::concat));
    seeds
}

/// Texts in every compression.
pub fn dump() -> Vec<Vec<u8>> {
    let text =
        apart(&sample(30_000)).chunks(3).map(<[Vec<u8>]>::concat).next().expect("there are games");
    let mut gzip = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::fast());
    gzip.write_all(&text).expect("memory");
    let mut bzip2 = bzip2::write::BzEncoder::new(Vec::new(), bzip2::Compression::fast());
    bzip2.write_all(&text).expect("memory");
    let zstd = zstd::encode_all(&text[..], 3).expect("memory");
    let skippable = [&[0x50, 0x2a, 0x4d, 0x18, 3, 0, 0, 0, 1, 2, 3], &zstd[..]].concat();
    let mut seeds = vec![
        gzip.finish().expect("memory"),
        bzip2.finish().expect("memory"),
        [zstd.clone(), zstd.clone()].concat(),
        zstd,
        skippable,
    ];
    seeds.extend(reader());
    seeds
}

/// Positions of a store.
pub fn codec() -> Vec<Vec<u8>> {
    let folder = tempfile::TempDir::new().expect("a temporary folder");
    let dump = folder.path().join("dump.pgn");
    fs::write(&dump, sample(3_000_000)).expect("the folder is writable");
    let plan = Plan::new(folder.path().join("deadfall.redb"), vec![Place::File(dump)]);
    let plan = Plan { keep_from: 1, memory: Memory::LEAST, ..plan };
    build(&plan, &Progress::default(), &Stop::default()).expect("the sample can be counted");
    let store = Store::open(&plan.store).expect("it was just built");
    let bodies = store.positions_raw().map(|raw| raw.expect("it can be read").body().to_vec());
    let mut bodies: Vec<Vec<u8>> = bodies.collect();
    bodies.sort_by_key(|body| std::cmp::Reverse(body.len()));
    let (long, short) = bodies.split_at(100.min(bodies.len()));
    long.iter().chain(short.iter().step_by(200)).filter(|body| body.len() < 4096).cloned().collect()
}

fn file(name: &str) -> Vec<u8> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..").join(name);
    fs::read(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

/// Whole games from the start of the sample dump, about so many bytes of them.
fn sample(bytes: u64) -> Vec<u8> {
    let name = "data-samples/harbour-league-2031-05.pgn.zst";
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..").join(name);
    let file = File::open(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    let mut text = Vec::new();
    let decoder = zstd::Decoder::new(file).expect("it is zstd");
    decoder.take(bytes).read_to_end(&mut text).expect("it can be read");
    text.truncate(last_cut(&text).expect("it holds several games"));
    text
}

/// The games of a text, one by one.
fn apart(mut text: &[u8]) -> Vec<Vec<u8>> {
    let mut games = Vec::new();
    while let Some(cut) = last_cut(text) {
        games.push(text[cut..].to_vec());
        text = &text[..cut];
    }
    games.push(text.to_vec());
    games
}
