//! Any bytes as a dump, counted by a build and by the model.
//!
//! Which games there are and which of them count is taken from the program's reader, which
//! [`super::reader`] judges; everything behind is worked out afresh: the moves by the rules of
//! chess in full, the counts in a map.

use std::fs;

use deadfall::counts::{Counts, InMemory, Limits};
use deadfall::games::{Game, GameReader, LeftOut, LeftOutTally, Movetext, Rules, settle_line_ends};
use deadfall::importer::{BuildError, Memory, Plan, Progress, Stop, build};
use deadfall::source::{Format, Place, SourceError};
use deadfall::store::{Store, verify};
use deadfall::terms::Key;
use shakmaty::san::San;
use shakmaty::{CastlingSide, Chess, Position};
use tempfile::TempDir;

use crate::kit::{HalfMove, ModelCounts, Played, groups};

/// Both come to the same cells, names, totals and counters.
pub fn check(text: &[u8]) {
    if Format::detect(text) != Format::Plain {
        return;
    }
    // The length chooses the settings, so that any text meets any of them.
    let chosen = text.len();
    let rules = Rules { half_moves: [30, 4, 200][chosen % 3], ..Rules::default() };
    let keep_from = 1 + (chosen / 3 % 2) as u64;
    let mut settled = text.to_vec();
    let open = settle_line_ends(&mut settled);
    settled[text.len() - open..].fill(b'\n');
    let (games, left_out) = read(&settled, &rules);
    let folder = TempDir::new().expect("a temporary folder");
    let dump = folder.path().join("dump.pgn");
    fs::write(&dump, text).expect("the folder is writable");
    let plan = Plan {
        rules: rules.clone(),
        keep_from,
        memory: Memory::LEAST,
        threads: 1 + chosen / 6 % 2,
        ..Plan::new(folder.path().join("deadfall.redb"), vec![Place::File(dump)])
    };
    match build(&plan, &Progress::default(), &Stop::default()) {
        Ok(outcome) => assert_eq!(outcome.dumps[0].source.games.left_out, left_out),
        Err(BuildError::Source(SourceError::NoGame { .. })) if Format::no_text(text).is_some() => {
            return;
        }
        Err(BuildError::Source(SourceError::NoGame { .. })) => {
            assert_eq!(games.len() as u64 + left_out.total(), 0, "there are games");
            return;
        }
        Err(error) => panic!("{error}"),
    }
    let store = Store::open(&plan.store).expect("it was just built");
    compare(&store, &ModelCounts::of_played(&games, rules.half_moves, keep_from));
    let source = &store.header().sources[0];
    assert_eq!(source.games.games_counted, games.len() as u64);
    assert_eq!(source.games.games_read, source.games.games_counted + left_out.total());
    let report = verify(&plan.store).expect("it can be read");
    assert!(report.is_sound(), "{report:?}");
}

fn compare(store: &Store, model: &InMemory) {
    let stored = store.positions().collect::<Result<Vec<_>, _>>().expect("it can be read");
    let keys: Vec<Key> = stored.iter().map(|position| position.key).collect();
    assert_eq!(keys, model.positions.keys().copied().collect::<Vec<_>>());
    for position in stored {
        let Ok(wanted) = model.position(position.key);
        assert_eq!(Some(position), wanted);
    }
    assert_eq!(store.totals(), model.totals());
    let nameless_sides = store.limits().nameless_sides;
    assert_eq!(store.limits(), &Limits { nameless_sides, ..model.limits().clone() });
}

/// The games that count, and how many do not.
fn read(text: &[u8], rules: &Rules) -> (Vec<Played>, LeftOutTally) {
    let (mut played, mut left_out) = (Vec::new(), LeftOutTally::default());
    let mut reader = GameReader::new(text);
    while let Some(game) = reader.next_game(rules, |game, movetext| play(game, movetext, rules)) {
        match game.verdict {
            Ok((of, mut one)) => {
                let names = of.players.map(|name| unescaped(name.unwrap_or_default()));
                one.groups = groups([&names[0], &names[1]], game.text);
                played.push(one);
            }
            Err(reason) => left_out.add(reason),
        }
    }
    (played, left_out)
}

/// Quotes and backslashes without the backslash before them.
fn unescaped(value: &[u8]) -> Vec<u8> {
    let (mut plain, mut bytes) = (Vec::new(), value.iter().copied().peekable());
    while let Some(byte) = bytes.next() {
        let escaped = bytes.next_if(|&next| byte == b'\\' && matches!(next, b'"' | b'\\'));
        plain.push(escaped.unwrap_or(byte));
    }
    plain
}

fn play(game: &Game<'_>, movetext: &mut Movetext<'_>, rules: &Rules) -> Result<Played, LeftOut> {
    let (mut position, mut moves) = (Chess::default(), Vec::new());
    for _ in 0..rules.half_moves {
        let Some(half) = movetext.next_move() else { break };
        let san = san(half.san).ok_or(LeftOut::IllegalMove)?;
        let mv = san.to_move(&position).map_err(|_| LeftOut::IllegalMove)?;
        position.play_unchecked(mv);
        moves.push(HalfMove { mv, clock: half.clock.map(i64::from), eval: half.eval });
    }
    if moves.is_empty() {
        return Err(LeftOut::NoMoves);
    }
    let name = game.opening_tag().map(|tag| (tag.eco, tag.name)).unwrap_or_default();
    Ok(Played {
        ratings: [game.white, game.black],
        groups: [0; 2],
        pace: game.time_control.pace,
        increment: game.time_control.increment.map(i64::from),
        white: game.result.for_white(),
        name,
        moves,
    })
}

fn san(word: &[u8]) -> Option<San> {
    match word.strip_suffix(b"+").or(word.strip_suffix(b"#")).unwrap_or(word) {
        b"0-0" => Some(San::Castle(CastlingSide::KingSide)),
        b"0-0-0" => Some(San::Castle(CastlingSide::QueenSide)),
        word => San::from_ascii(word).ok(),
    }
}
