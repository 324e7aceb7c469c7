//! The stages one by one, on one thread: `cargo bench --bench stages -- [DUMP]`, by default on the
//! sample dump; with `--serial` only what workers do one at a time.
//!
//! Each line is the median of five runs. The answers are checked, so that nothing is measured that
//! is not done. Spilling and merging are a whole build with little memory beside one with plenty;
//! they differ only for dumps of a million games or so.

#![expect(clippy::print_stdout, reason = "a bench reports there")]

use std::hint::black_box;
use std::io::Read;
use std::ops::ControlFlow;
use std::path::Path;
use std::time::Instant;

use deadfall::counts::{Counts, PositionCounts, Record};
use deadfall::games::{GameReader, LeftOut, Rules, last_cut};
use deadfall::importer::{Memory, Plan, Progress, Stop, build, sort_into};
use deadfall::plies::Replayer;
use deadfall::source::{Batches, Dump, Opening, Place};
use deadfall::store::Store;
use deadfall::store::codec::{decode_body, encode_body};
use deadfall::terms::{CellId, Key, MoveCode, Outcome};
use pgn_reader::{Reader, SanPlus, Visitor};
use shakmaty::zobrist::Zobrist64;
use shakmaty::{Chess, EnPassantMode, Position};

const RUNS: usize = 5;
/// Text that is replayed, in bytes.
const TEXT: u64 = 64 << 20;
const HALF_MOVES: usize = 30;

fn main() {
    let named = std::env::args().skip(1).find(|argument| !argument.starts_with('-'));
    let sample = "data-samples/harbour-league-2031-05.pgn.zst";
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(named.as_deref().unwrap_or(sample));
    let place = Place::File(path);
    if std::env::args().any(|argument| argument == "--serial") {
        let folder = tempfile::tempdir().expect("a folder");
        let memory = Memory::new(4 << 30).expect("enough");
        return serial(&place, whole(&place, &folder.path().join("bench.redb"), memory));
    }
    replay(&text(&place));
    sort();
    let folder = tempfile::tempdir().expect("a folder");
    let store = folder.path().join("bench.redb");
    let [all, _] = [Memory::new(4 << 30).expect("enough"), Memory::LEAST]
        .map(|memory| whole(&place, &store, memory));
    serial(&place, all);
    let store = Store::open(&store).expect("just built");
    entries(&store);
    look_up(&store);
}

/// Prints the median time of a stage, for each of the things it handles; in seconds.
fn measure(stage: &str, unit: &str, mut work: impl FnMut() -> u64) -> f64 {
    let mut runs: Vec<(f64, u64)> = (0..RUNS)
        .map(|_| {
            let started = Instant::now();
            let count = work();
            (started.elapsed().as_secs_f64(), count)
        })
        .collect();
    runs.sort_by(|a, b| a.0.total_cmp(&b.0));
    assert!(runs.iter().all(|run| run.1 == runs[0].1), "{stage}: runs differ");
    let (seconds, count) = runs[RUNS / 2];
    println!(
        "{stage:32} {:9.1} ns a {unit} ({count} in {seconds:.3} s)",
        seconds * 1e9 / count as f64
    );
    seconds
}

fn text(place: &Place) -> Vec<u8> {
    let dump = Dump::open_with(place, Opening::default()).expect("the dump can be opened");
    let mut text = Vec::new();
    dump.take(TEXT).read_to_end(&mut text).expect("the dump can be read");
    if text.len() as u64 == TEXT {
        text.truncate(last_cut(&text).expect("it holds several games"));
    }
    text
}

/// The same text read and replayed by our reader and by pgn-reader with shakmaty.
fn replay(text: &[u8]) {
    let rules = Rules::default();
    measure("replay, own reader", "game", || {
        let (mut reader, mut replayer) = (GameReader::new(text), Replayer::new());
        let (mut games, mut plies) = (0, 0);
        while reader
            .next_game(&rules, |game, movetext| {
                match replayer.play(movetext, HALF_MOVES, game.time_control) {
                    Ok(found) => plies += black_box(found).len(),
                    Err(_) => return Err(LeftOut::IllegalMove),
                }
                Ok(())
            })
            .is_some()
        {
            games += 1;
        }
        assert!(plies > 0);
        games
    });
    measure("replay, pgn-reader", "game", || {
        let mut reader = Reader::new(text);
        let mut player = Player { plies: 0 };
        let mut games = 0;
        while reader.read_game(&mut player).expect("the text can be read").is_some() {
            games += 1;
        }
        assert!(player.plies > 0);
        games
    });
}

/// Plays the first half-moves and hashes each position; clocks are not looked at.
struct Player {
    plies: u64,
}

impl Visitor for Player {
    type Tags = ();
    type Movetext = (Chess, usize);
    type Output = ();

    fn begin_tags(&mut self) -> ControlFlow<(), ()> {
        ControlFlow::Continue(())
    }

    fn begin_movetext(&mut self, (): ()) -> ControlFlow<(), (Chess, usize)> {
        ControlFlow::Continue((Chess::default(), 0))
    }

    fn san(&mut self, (position, plies): &mut (Chess, usize), san: SanPlus) -> ControlFlow<()> {
        let Ok(mv) = san.san.to_move(position) else { return ControlFlow::Break(()) };
        let key: Zobrist64 = position.zobrist_hash(EnPassantMode::Legal);
        black_box(key);
        position.play_unchecked(mv);
        *plies += 1;
        self.plies += 1;
        if *plies == HALF_MOVES { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
    }

    fn end_game(&mut self, _: (Chess, usize)) {}
}

/// A partition's worth of records with keys as hashes are.
fn sort() {
    let (code, id) =
        (MoveCode::from_bits(8).expect("a move"), CellId::from_bits(90).expect("an id"));
    let key = |number: u64| Key(number.wrapping_mul(0x9e37_79b9_7f4a_7c15) >> 8);
    let records: Vec<Record> =
        (0..100_000).map(|number| Record::new(key(number), code, id, Outcome::Win, 500)).collect();
    let mut sorted = Vec::new();
    measure("sort, 100,000 records", "record", || {
        sort_into(records.chunks(800), 56, &mut sorted);
        assert!(sorted.is_sorted_by_key(Record::key));
        sorted.len() as u64
    });
}

fn whole(place: &Place, store: &Path, memory: Memory) -> f64 {
    let plan = Plan { keep_from: 2, memory, ..Plan::new(store, vec![place.clone()]) };
    let mut runs = 0;
    let seconds = measure(&format!("build with {} MiB", memory.bytes() >> 20), "game", || {
        drop(std::fs::remove_file(store));
        let outcome =
            build(&plan, &Progress::default(), &Stop::default()).expect("it can be built");
        runs = outcome.runs;
        outcome.dumps[0].source.games.games_read
    });
    println!("{:32} {runs:9} runs on disk", "");
    seconds
}

/// What workers do one at a time, beside the time of all: reading parts of a dump, which are small
/// where zstd frames are handed out.
fn serial(place: &Place, all: f64) {
    let opening = || Opening { whole_frames: 32 << 20, ..Opening::default() };
    let mut seconds: Vec<f64> = (0..RUNS)
        .map(|_| {
            let dump = Dump::open_with(place, opening()).expect("the dump can be opened");
            let mut batches = Batches::new(dump, Memory::BATCH);
            let (mut buffer, mut alone, mut bytes) = (Vec::new(), 0.0, 0);
            loop {
                let started = Instant::now();
                let part = batches.next_part(buffer).expect("the dump can be read");
                alone += started.elapsed().as_secs_f64();
                buffer = Vec::new();
                let Some(part) = part else { break };
                for batch in part.unpack() {
                    bytes += batch.text().len() as u64;
                    buffer = batch.into_buffer();
                }
            }
            assert!(bytes <= batches.text_bytes());
            alone
        })
        .collect();
    seconds.sort_by(f64::total_cmp);
    let alone = seconds[RUNS / 2];
    println!(
        "{:32} {:9.1} % of it ({alone:.3} s)",
        "read, one worker at a time",
        100.0 * alone / all
    );
}

fn entries(store: &Store) {
    let positions: Vec<PositionCounts> =
        store.positions().take(200_000).collect::<Result<_, _>>().expect("a sound store");
    let mut bodies = Vec::new();
    let mut ends = Vec::new();
    measure("encode entries", "position", || {
        bodies.clear();
        ends.clear();
        for position in &positions {
            encode_body(position, &mut bodies);
            ends.push(bodies.len());
        }
        ends.len() as u64
    });
    measure("decode entries", "position", || {
        let mut start = 0;
        for (position, &end) in positions.iter().zip(&ends) {
            let body = &bodies[start..end];
            let back = decode_body(position.key, None, body).expect("just encoded");
            assert_eq!(back.games(), position.games());
            start = end;
        }
        ends.len() as u64
    });
}

fn look_up(store: &Store) {
    let keys: Vec<Key> =
        store.positions().take(20_000).map(|position| position.expect("sound").key).collect();
    for (what, step) in [("look up what is there", 0), ("look up what is absent", 1)] {
        measure(what, "look-up", || {
            for key in keys.iter().rev() {
                let found = store.position(Key(key.0.wrapping_add(step))).expect("a sound store");
                assert_eq!(found.is_some(), step == 0);
            }
            keys.len() as u64
        });
    }
}
