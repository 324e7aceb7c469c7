//! Whatever is in a text, and however it is cut: the games found are those of the whole text, and
//! every one of them is counted or left out.

use std::fs;
use std::path::Path;
use std::sync::LazyLock;

use deadfall::counts::Counts;
use deadfall::games::{GameReader, LeftOut, LeftOutTally, Rules, settle_line_ends};
use deadfall::importer::{Memory, Plan, Progress, Stop, build};
use deadfall::source::Place;
use deadfall::store::Store;
use rand::seq::IndexedRandom;
use rand::{Rng, RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

use crate::fuzzed::checks;
use crate::kit::{Folder, Game, pieces};

/// Pieces of which texts are made: whatever the reader of games has a rule for.
static PIECES: LazyLock<Vec<String>> = LazyLock::new(|| pieces("games"));

/// Most texts hold long pieces, too: what is too long for a game or to look ahead is
/// rare otherwise.
pub fn odd_text(chance: &mut impl Rng) -> String {
    let count = chance.random_range(1..60);
    let mut text = String::new();
    // Few different pieces a text, so that they meet often.
    let few: Vec<&String> = PIECES.sample(chance, 12).collect();
    for _ in 0..count {
        let piece = match chance.random_range(0..10) {
            0..7 => few.choose(chance).expect("there are some"),
            _ => PIECES.choose(chance).expect("there are some"),
        };
        let times = match chance.random_range(0..30) {
            0 => chance.random_range(30..500),
            1 => chance.random_range(60..70),
            _ => 1,
        };
        text += &piece.repeat(times);
    }
    text
}

#[test]
fn batches_of_any_size_hold_the_games_of_the_text() {
    let mut chance = ChaCha8Rng::seed_from_u64(71);
    for _ in 0..400 {
        checks::dump::check(odd_text(&mut chance).as_bytes());
    }
}

/// The same at length; ask for it with `--ignored`.
#[test]
#[ignore = "tries twenty thousand texts"]
fn batches_of_any_size_hold_the_games_of_many_texts() {
    let mut chance = ChaCha8Rng::seed_from_u64(72);
    for _ in 0..20_000 {
        checks::dump::check(odd_text(&mut chance).as_bytes());
    }
}

/// A text of several batches made of odd pieces and of games that count; every second text has no
/// Event to cut at.
fn long_text(seed: u64) -> String {
    let mut chance = ChaCha8Rng::seed_from_u64(seed);
    let mut long = String::new();
    while long.len() < 5_000_000 {
        long += &odd_text(&mut chance);
        let end = ["\n\n", "} *\n\n", "} 1-0\n\n", ""].choose(&mut chance).expect("some");
        long += end;
        for _ in 0..chance.random_range(0..20) {
            let (white, black) = (chance.random_range(1..3000), chance.random_range(1..3000));
            let game = Game::of("e4 e5 Nf3 Nc6").ratings(white, black).to_string();
            long += &game;
        }
    }
    if seed.is_multiple_of(2) { long.replace("[Event \"", "[Site \"") } else { long }
}

/// The games of a whole text: how many count, and how many are left out.
fn plainly(text: &str) -> (u64, LeftOutTally) {
    let mut text = text.as_bytes().to_vec();
    let open = settle_line_ends(&mut text);
    let settled = text.len() - open;
    text[settled..].fill(b'\n');
    let (mut counted, mut left_out) = (0, LeftOutTally::default());
    let (rules, mut replayer) = (Rules::default(), deadfall::plies::Replayer::new());
    let mut reader = GameReader::new(&text);
    while let Some(game) = reader.next_game(&rules, |game, movetext| {
        match replayer.play(movetext, rules.half_moves.into(), game.time_control) {
            Ok([]) => Err(LeftOut::NoMoves),
            played => played.map(drop).map_err(|_| LeftOut::IllegalMove),
        }
    }) {
        match game.verdict {
            Ok(_) => counted += 1,
            Err(reason) => left_out.add(reason),
        }
    }
    (counted, left_out)
}

/// What a build of a dump counted and left out, its hash, and all that the store holds
/// on positions.
fn built(
    folder: &Folder,
    name: &str,
    memory: Memory,
    threads: usize,
) -> (u64, LeftOutTally, String) {
    let store = folder.path("one.redb");
    let plan = Plan::new(&store, vec![Place::File(folder.path(name))]);
    let plan = Plan { keep_from: 1, memory, threads, ..plan };
    let outcome = build(&plan, &Progress::default(), &Stop::default()).expect("it can be built");
    let dump = &outcome.dumps[0].source;
    let content = format!("{} {}", dump.hash, content(&store));
    fs::remove_file(&store).expect("it is there");
    (dump.games.games_counted, dump.games.left_out.clone(), content)
}

fn content(path: &Path) -> String {
    let store = Store::open(path).expect("a sound store");
    let positions = store.positions().map(|position| format!("{:?}\n", position.expect("sound")));
    positions.collect::<String>() + &format!("{:?}", store.totals())
}

/// Carriage returns before a line feed belong to it, others are line ends by themselves.
fn with_line_feeds(text: &str) -> String {
    let lines = text.split('\n').map(|line| line.trim_end_matches('\r').replace('\r', "\n"));
    lines.collect::<Vec<_>>().join("\n")
}

#[test]
fn a_build_counts_what_a_plain_reading_finds_whatever_memory_threads_and_line_ends() {
    for seed in [81, 82] {
        let text = long_text(seed);
        let wanted = plainly(&text);
        assert!(wanted.0 > 1000 && wanted.1.total() > 1000, "{wanted:?}");
        let folder = Folder::new();
        folder.write("dump.pgn", &text);
        let plain = built(&folder, "dump.pgn", Memory::LEAST, 1);
        assert_eq!((plain.0, plain.1.clone()), wanted);
        let line_feeds = with_line_feeds(&text);
        folder.write("lf.pgn", &line_feeds);
        folder.write("crlf.pgn", line_feeds.replace('\n', "\r\n"));
        folder.write("cr.pgn", line_feeds.replace('\n', "\r"));
        let zstd = zstd::encode_all(text.as_bytes(), 1).expect("memory");
        folder.write("dump.pgn.zst", zstd);
        let plenty = Memory::new(2 << 30).expect("enough");
        for (name, memory, threads) in [
            ("dump.pgn.zst", plenty, 3),
            ("lf.pgn", plenty, 2),
            ("crlf.pgn", Memory::LEAST, 2),
            ("cr.pgn", plenty, 1),
        ] {
            assert!(built(&folder, name, memory, threads) == plain, "{name}, {seed}");
        }
    }
}
