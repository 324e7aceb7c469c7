//! Texts that a dump is hardly made of, and that cost no game but their own.

use std::os::unix::ffi::OsStrExt;

use crate::fuzzed::checks::reader::games;
use crate::kit::{Folder, Game, pieces};

const MEMORIES: [&str; 2] = ["256MiB", "2GiB"];

/// Games read, counted and broken, which are the same whatever the memory.
#[track_caller]
fn built(text: impl AsRef<[u8]>) -> (u64, u64, u64) {
    let folder = Folder::with("dump.pgn", text);
    let counts = MEMORIES.map(|memory| {
        let store = format!("--store {memory}.redb");
        folder.run(&format!("build dump.pgn --memory {memory} {store}")).ok();
        let about = folder.run(&format!("about --format json {store}")).json();
        let number = |value: &serde_json::Value| value.as_u64().expect("a number");
        let left_out = about["left_out"].as_object().expect("by reason").values().map(number);
        let (read, counted) = (number(&about["games_read"]), number(&about["games_counted"]));
        assert_eq!(read, counted + left_out.sum::<u64>());
        (read, counted, number(&about["left_out"]["broken"]))
    });
    assert_eq!(counts[0], counts[1]);
    counts[0]
}

/// Games that begin with another tag than Event, every second of them with a comment left open.
fn left_open(count: usize) -> String {
    let clean = Game::of("e4 e5 Nf3").to_string().replace("[Event ", "[Site ");
    let open = clean.replace("e5", "{ a quiet move e5");
    format!("{open}{clean}").repeat(count / 2)
}

#[test]
fn comments_left_open_cost_their_games_only() {
    assert_eq!(built(left_open(40_000)), (40_000, 20_000, 20_000));
}

/// At full length; ask for it with `--ignored`.
#[test]
#[ignore = "reads 400,000 games four times"]
fn comments_left_open_cost_their_games_only_at_length() {
    assert_eq!(built(left_open(400_000)), (400_000, 200_000, 200_000));
    let clean = Game::of("e4 e5 Nf3").times(300_000);
    assert_eq!(built(left_open(2) + &clean), (300_002, 300_001, 1));
}

#[test]
fn one_comment_left_open_in_front_costs_no_other_game() {
    let clean = Game::of("e4 e5 Nf3").times(30_000);
    let site = clean.replace("[Event ", "[Site ");
    for rest in [clean, site] {
        assert_eq!(built(left_open(2) + &rest), (30_002, 30_001, 1));
    }
}

#[test]
fn millions_of_empty_lines_between_games_are_nothing() {
    let game = Game::of("e4 e5 Nf3").to_string();
    let site = game.replace("[Event ", "[Site ");
    for (game, line_end) in [(game, "\n"), (site, "\r")] {
        let gap = line_end.repeat(20_000_000);
        assert_eq!(built(format!("{game}{gap}{game}")), (2, 2, 0));
    }
}

#[test]
fn a_game_that_is_too_long_is_broken_and_the_next_one_counts() {
    let game = Game::of("e4 e5 Nf3").to_string();
    let long = |text: &str| text.repeat(17_000_000 / text.len());
    let site = game.replace("[Event ", "[Site ");
    for (place, filling, next) in [
        ("\n\n", format!("\n\n{}", long("\n")), &site),
        ("\n\n", format!("\n\n{}", long("% an escape line\n")), &game),
        ("\n\n", format!("\n{}\n", long("[Round \"1\"]\n")), &site),
        ("\n\n", format!("\n[Round \"{}\"]\n\n", long("x")), &game),
        (" e5", format!(" {{ {}}} e5", long("a [%clk 0:01:00] (")), &site),
        (" e5", format!(" {{ {} e5", long("an open end\n")), &game),
        (" e5", format!(" {} e5", long("(1... d5 $3) ")), &site),
        (" e5", format!(" ; {}\n e5", long("{")), &site),
    ] {
        let text = game.clone() + &game.replacen(place, &filling, 1) + next;
        assert_eq!(built(&text), (3, 2, 1), "{}", &filling[..20]);
    }
}

#[test]
fn line_ends_do_not_matter() {
    let moves = ["e4 e5 Nf3", "d4 d5 c4", "c4 c5", "Nf3 d5 g3 c5"];
    let clocks = "0:05:00 0:05:00 0:04:58 0:04:50";
    let games: String =
        (0..154).map(|game| Game::of(moves[game % 4]).clocks(clocks).to_string()).collect();
    let folder = Folder::with("lf.pgn", &games);
    folder.write("crlf.pgn", games.replace('\n', "\r\n"));
    folder.write("cr.pgn", games.replace('\n', "\r"));
    folder.write("mixed.pgn", games.replace("]\n[", "]\r[").replace(" 1-0\n", " 1-0\r\r\r\n"));
    let exports = ["lf", "crlf", "cr", "mixed"].map(|name| {
        folder.run(&format!("build {name}.pgn --store {name}.redb --keep-from 1")).ok();
        let about = folder.run(&format!("about --format json --store {name}.redb")).json();
        assert_eq!(about["games_counted"], 154, "{name}");
        // It is the same dump.
        let again = folder.run(&format!("build lf.pgn --store {name}.redb")).refused(3);
        assert!(again.contains("already in"), "{again}");
        let written = folder.run(&format!("games e4 {name}.pgn")).ok().stdout();
        (folder.run(&format!("export --store {name}.redb")).answer(), written)
    });
    assert!(exports.iter().all(|export| export == &exports[0]));
}

#[test]
fn neither_order_nor_what_stands_between_games_makes_another_dump() {
    let (a, b) = (Game::of("e4 e5").times(3), Game::of("d4 d5").times(2));
    let folder = Folder::built(format!("{a}{b}"), "");
    for other in
        [format!("{b}{a}"), format!("Of the club:\n\n\n{a}\n\n; and more\n{}", b.trim_end())]
    {
        folder.write("other.pgn", &other);
        assert!(folder.run("build other.pgn").refused(3).contains("already in deadfall.redb"));
    }
    folder.write("more.pgn", format!("{a}{b}{a}"));
    folder.run("build more.pgn").ok();
}

#[test]
fn a_dump_may_have_a_name_that_is_no_text() {
    let folder = Folder::new();
    let name = std::ffi::OsStr::from_bytes(b"d\xff.pgn");
    std::fs::write(folder.root().join(name), Game::of("e4 e5").times(6)).expect("it is writable");
    folder.shell("\"$deadfall\" build d*.pgn").ok();
    let about = folder.run("about --format json").json();
    assert_eq!(about["sources"][0]["name"], "d\u{fffd}.pgn");
    assert_eq!(
        folder.shell("\"$deadfall\" games e4 d*.pgn").ok().stdout().matches("1-0\n").count(),
        6
    );
}

/// Much of each; were any of it looked through again and again, this would take minutes.
#[test]
fn what_is_read_takes_time_in_proportion() {
    let game = Game::of("e4 e5 Nf3").to_string();
    let open =
        "[Event \"x\"]\n[Result \"1-0\"]\n[WhiteElo \"1500\"]\n[BlackElo \"1500\"]\n\n1. e4 ";
    for piece in pieces("repeated") {
        for before in
            ["", open, &format!("{open}{{"), &format!("{open}{{ 1-0\n\n"), "[Event \"x\"]\n"]
        {
            let text = format!("{before}{}\n\n{game}", piece.repeat(400_000 / piece.len()));
            let found = games(text.as_bytes());
            let last = found.last().expect("there is a game");
            assert_eq!(last.span.start + game.trim_end().len() + 2, text.len(), "{piece:?}");
            assert!(last.verdict.is_ok(), "{piece:?}");
        }
    }
}
