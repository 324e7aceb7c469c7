//! The stages one by one for `tests/bench/instructions`, which counts their instructions:
//! `counted STAGE FOLDER [idle]`.
//!
//! `prepare` writes what they start from into the folder. Every other stage then does its work
//! once, with one worker, and says on how many things; `idle` comes to its start and does nothing.
//! The difference of the two is the stage alone, in whatever threads.

#![expect(clippy::print_stdout, reason = "a bench reports there")]

use std::hint::black_box;
use std::io::Read;
use std::path::{Path, PathBuf};

use deadfall::answers::Question;
use deadfall::answers::trap::judge_all;
use deadfall::counts::{Counts, PositionCounts, Record};
use deadfall::games::{GameReader, LeftOut, Rules, last_cut};
use deadfall::importer::{Plan, Progress, Stop, build, join, sort_into};
use deadfall::lines::Trap;
use deadfall::plies::Replayer;
use deadfall::source::{Dump, Opening, Place};
use deadfall::store::Store;
use deadfall::store::codec::{decode_body, encode_body};
use deadfall::terms::{CellId, Key, MoveCode, Outcome};

/// Text that is read, in bytes.
const TEXT: u64 = 4 << 20;
const HALF_MOVES: usize = 30;
/// Positions that are encoded, decoded and looked up.
const POSITIONS: usize = 5000;

/// What a stage does, and on how many things.
type Work = Box<dyn FnOnce() -> u64>;

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
    let [stage, folder, rest @ ..] = &arguments[..] else { return };
    let folder = Path::new(folder);
    let work = match *stage {
        "prepare" => return prepare(folder),
        "movetext" => read(folder, false),
        "replay" => read(folder, true),
        "sort" => sort(),
        "build" => whole(folder),
        "merge" => merge(folder),
        "encode" => encode(folder),
        "decode" => decode(folder),
        "look-up" => look_up(folder),
        "judge" => judge(folder),
        other => panic!("no stage {other}"),
    };
    if rest.is_empty() {
        println!("{}", work());
    }
}

fn sample(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("data-samples").join(name)
}

fn prepare(folder: &Path) {
    let dump = Place::File(sample("harbour-league-2031-05.pgn.zst"));
    let mut text = Vec::new();
    let opened = Dump::open_with(&dump, Opening::default()).expect("the dump can be opened");
    opened.take(TEXT).read_to_end(&mut text).expect("the dump can be read");
    text.truncate(last_cut(&text).expect("it holds several games"));
    let half = last_cut(&text[..text.len() / 2]).expect("as does its half");
    for (name, part) in [("text", &text[..]), ("first", &text[..half]), ("second", &text[half..])] {
        std::fs::write(folder.join(format!("{name}.pgn")), part)
            .expect("the folder can be written");
    }
    for name in ["first", "second"] {
        let place = Place::File(folder.join(format!("{name}.pgn")));
        store(&folder.join(format!("{name}.redb")), place, 1);
    }
    store(&folder.join("month.redb"), dump, 2);
}

fn store(path: &Path, place: Place, keep_from: u64) -> u64 {
    let plan = Plan { keep_from, ..Plan::new(path, vec![place]) };
    let summary = build(&plan, &Progress::default(), &Stop::default()).expect("it can be built");
    summary.dumps[0].source.games.games_read
}

/// Tags and movetext of all games, whose first half-moves are played or passed over.
fn read(folder: &Path, played: bool) -> Work {
    let text = std::fs::read(folder.join("text.pgn")).expect("prepared");
    Box::new(move || {
        let (mut reader, mut replayer) = (GameReader::new(&text), Replayer::new());
        let (rules, mut games) = (Rules::default(), 0);
        while reader
            .next_game(&rules, |game, movetext| {
                if played {
                    let plies = replayer.play(movetext, HALF_MOVES, game.time_control);
                    black_box(plies.map_err(|_| LeftOut::IllegalMove)?);
                } else {
                    for _ in 0..HALF_MOVES {
                        black_box(movetext.next_move());
                    }
                }
                Ok(())
            })
            .is_some()
        {
            games += 1;
        }
        games
    })
}

/// A partition's worth of records with keys as hashes are.
fn sort() -> Work {
    let (code, id) =
        (MoveCode::from_bits(8).expect("a move"), CellId::from_bits(90).expect("an id"));
    let key = |number: u64| Key(number.wrapping_mul(0x9e37_79b9_7f4a_7c15) >> 8);
    let records: Vec<Record> =
        (0..100_000).map(|number| Record::new(key(number), code, id, Outcome::Win, 500)).collect();
    Box::new(move || {
        let mut sorted = Vec::new();
        sort_into(records.chunks(800), 56, &mut sorted);
        assert!(sorted.is_sorted_by_key(Record::key));
        sorted.len() as u64
    })
}

fn whole(folder: &Path) -> Work {
    let (path, text) = (folder.join("whole.redb"), folder.join("text.pgn"));
    drop(std::fs::remove_file(&path));
    Box::new(move || store(&path, Place::File(text), 5))
}

/// Two stores of which no game was dropped into one.
fn merge(folder: &Path) -> Work {
    let inputs = ["first", "second"].map(|name| folder.join(format!("{name}.redb")));
    let path = folder.join("joined.redb");
    drop(std::fs::remove_file(&path));
    Box::new(move || {
        let plan = Plan::new(&path, Vec::new());
        join(&plan, &inputs, &Progress::default(), &Stop::default()).expect("they can be joined");
        let positions = |path| Store::open(path).expect("a store").summary().positions;
        inputs.iter().map(|path| positions(path)).sum()
    })
}

fn month(folder: &Path) -> Store {
    Store::open(&folder.join("month.redb")).expect("prepared")
}

fn positions(folder: &Path) -> Vec<PositionCounts> {
    let positions = month(folder).positions().take(POSITIONS).collect::<Result<_, _>>();
    positions.expect("a sound store")
}

fn encode(folder: &Path) -> Work {
    let positions = positions(folder);
    Box::new(move || {
        let mut bodies = Vec::new();
        positions.iter().for_each(|position| {
            encode_body(position, &mut bodies);
        });
        assert!(bodies.len() > positions.len());
        positions.len() as u64
    })
}

fn decode(folder: &Path) -> Work {
    let body = |position: PositionCounts| {
        let mut body = Vec::new();
        encode_body(&position, &mut body);
        (position.key, position.games(), body)
    };
    let bodies: Vec<_> = positions(folder).into_iter().map(body).collect();
    Box::new(move || {
        for (key, games, body) in &bodies {
            let back = decode_body(*key, None, body).expect("just encoded");
            assert_eq!(back.games(), *games);
        }
        bodies.len() as u64
    })
}

/// Every second key is in no position.
fn look_up(folder: &Path) -> Work {
    let keys: Vec<Key> = positions(folder).iter().map(|position| position.key).collect();
    let store = month(folder);
    Box::new(move || {
        for key in keys.iter().rev() {
            for (key, there) in [(*key, true), (Key(key.0.wrapping_add(1)), false)] {
                let found = store.position(key).expect("a sound store");
                assert_eq!(found.is_some(), there);
            }
        }
        2 * keys.len() as u64
    })
}

fn judge(folder: &Path) -> Work {
    let text = std::fs::read_to_string(sample("traps.pgn")).expect("a sample");
    let traps: Result<Vec<Trap>, _> = Trap::read_all(&text).into_iter().collect();
    let (traps, store) = (traps.expect("traps"), month(folder));
    Box::new(move || {
        let answer = judge_all(&store, &traps, &Question::default()).expect("a sound store");
        assert_eq!(answer.traps.len(), traps.len());
        answer.traps.len() as u64
    })
}
