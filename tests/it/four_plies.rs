//! Every legal game of four plies, counted.
//!
//! The numbers are computed with python-chess 1.11.2 (every game played, every occurrence counted);
//! published among them are the 197,281 games (OEIS A048987) and the distinct positions after 1, 2,
//! 3 and 4 plies, 20 + 400 + 5,362 + 72,078 (OEIS A083276).
//!
//! A game counts for a position once, by its first visit, and only where it plays a counted move.
//! Within four plies no position with a counted move occurs twice in a game: a position can only
//! come back after four plies, when all four counted moves are played. So first visits and
//! occurrences are the same here, 4 x 197,281; the 16 games that return to the start position reach
//! it after their last counted move and count for it once, which its 197,281 visits show.

use std::collections::BTreeSet;
use std::fmt::Write;

use deadfall::terms::Key;
use shakmaty::san::SanPlus;
use shakmaty::{Chess, Position};

use crate::kit::Folder;

const TAGS: &str =
    "[Result \"1/2-1/2\"]\n[WhiteElo \"1500\"]\n[BlackElo \"1500\"]\n[TimeControl \"300+3\"]\n\n";

/// Writes every legal continuation of `depth` plies as a game, and notes every position met.
fn all_games(
    position: &Chess,
    words: &str,
    depth: usize,
    text: &mut String,
    met: &mut BTreeSet<Key>,
) -> usize {
    met.insert(Key::of(position));
    if depth == 0 {
        writeln!(text, "{TAGS}{words}1/2-1/2\n").expect("memory takes it");
        return 1;
    }
    let after = |mv| {
        let mut next = position.clone();
        let san = SanPlus::from_move_and_play_unchecked(&mut next, mv);
        all_games(&next, &format!("{words}{san} "), depth - 1, text, met)
    };
    position.legal_moves().into_iter().map(after).sum()
}

/// Games of each move, from the cells; each move of a position has one cell here.
fn games_of_moves(cells: &str, key: Option<&str>) -> Vec<u64> {
    let rows = cells.lines().skip(1).map(|row| row.split(',').collect::<Vec<_>>());
    rows.filter(|row| key.is_none_or(|key| row[0] == key))
        .map(|row| row[4].parse().expect("a number"))
        .collect()
}

/// Counts all games of `depth` plies: games, positions met, and the cells.
fn count(depth: usize) -> (usize, usize, Folder, String) {
    let (mut text, mut met) = (String::new(), BTreeSet::new());
    let games = all_games(&Chess::default(), "", depth, &mut text, &mut met);
    let folder = Folder::built(text, &format!("--half-moves {depth} --keep-from 1"));
    let cells = folder.run("export").answer();
    (games, met.len(), folder, cells)
}

#[test]
fn all_games_of_four_plies_give_the_known_counts() {
    let (games, met, folder, cells) = count(4);
    assert_eq!((games, met), (197_281, 77_796));
    let about = folder.run("about --format json").json();
    assert_eq!((&about["games_counted"], &about["positions"]), (&197_281.into(), &5_783.into()));
    let all = games_of_moves(&cells, None);
    assert_eq!((all.len(), all.iter().sum::<u64>()), (127_844, 789_124));
    let start = games_of_moves(&cells, Some(&Key::of(&Chess::default()).to_string()));
    assert_eq!((start.len(), start.iter().sum::<u64>()), (20, 197_281));
    let moves = folder.run("moves --format json").json();
    let games_of = |san: &str| {
        let moves = moves["moves"].as_array().expect("a list");
        moves.iter().find(|mv| mv["san"] == san).map(|mv| mv["games"].clone())
    };
    let wanted = [("e4", 13_160), ("d4", 12_435), ("Nf3", 9_748), ("a3", 8_457)];
    for (san, games) in wanted {
        assert_eq!(games_of(san), Some(games.into()), "{san}");
    }
}

#[test]
fn all_games_of_three_plies_give_the_known_counts() {
    let (games, met, _, cells) = count(3);
    assert_eq!((games, met), (8_902, 5_783));
    let all = games_of_moves(&cells, None);
    assert_eq!((all.len(), all.iter().sum::<u64>()), (9_322, 26_706));
}
