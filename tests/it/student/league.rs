//! The invented league's players slip in planted traps by habit, and what each slip costs is known:
//! the most costly habits are found.
//!
//! Slow, so it runs only when asked:
//! `cargo test --profile slow --test it student::league -- --ignored`.

use std::collections::BTreeMap;

use serde_json::Value;

use crate::kit::{Folder, inventor};

/// Games of each month; a habit is judged where 50 games of the level hold it.
const GAMES: &str = "100000";
const LEAGUE: &str = "51";
/// Students at the most, drawn among those with a planted habit.
const STUDENTS: usize = 80;
/// A habit is played so often, and in more than half of the games.
const HABIT: u64 = 3;

/// What a slip costs the victim in points a game, by trap position and band.
type Costs = BTreeMap<(String, u64), f64>;

fn month(folder: &Folder, name: &str, seed: &str, day: &str) {
    let mut invent = inventor();
    invent.args(["--clocks", "0", "--evals", "0"]);
    invent.args(["--games", GAMES, "--league", LEAGUE, "--seed", seed, "--month", day]);
    for (option, file) in [("--out", "pgn"), ("--truth", "truth.csv"), ("--paces", "paces.csv")] {
        invent.arg(option).arg(folder.path(&format!("{name}.{file}")));
    }
    assert!(invent.status().expect("it is at hand").success());
}

fn rows(folder: &Folder, name: &str) -> Vec<BTreeMap<String, String>> {
    let bytes = folder.read(name);
    csv::Reader::from_reader(&bytes[..]).deserialize().map(|row| row.expect("a row")).collect()
}

fn board(fen: &str) -> String {
    fen.split(' ').take(4).collect::<Vec<_>>().join(" ")
}

/// The setter scores `score_refuted` if the slip is refuted, else what is ordinary plus a
/// planted edge.
fn costs(folder: &Folder) -> (Costs, BTreeMap<String, String>) {
    let (mut costs, mut slips) = (Costs::new(), BTreeMap::new());
    for row in rows(folder, "before.truth.csv") {
        let number = |name: &str| row[name].parse::<f64>().expect("a number");
        let find = number("find_rate");
        let slipped = find * number("score_refuted") + (1.0 - find) * (0.5 + number("edge_missed"));
        let fen = board(&row["trap_fen"]);
        costs.insert((fen.clone(), number("band") as u64), slipped - 0.5 - number("edge_no_slip"));
        slips.insert(fen, row["slip"].clone());
    }
    (costs, slips)
}

/// A habit that was planted: what the player's slips there cost in all.
struct Planted {
    fen: String,
    cost: f64,
}

/// The most costly planted habit of each player who has one, by name.
fn planted(folder: &Folder, costs: &Costs) -> BTreeMap<String, Planted> {
    let mut drawn: BTreeMap<(String, String), (u64, u64, f64)> = BTreeMap::new();
    for row in rows(folder, "after.paces.csv") {
        let number = |name: &str| row[name].parse::<u64>().expect("a number");
        let fen = board(&row["trap_fen"]);
        let cost = costs[&(fen.clone(), number("band"))];
        let sum = drawn.entry((row["name"].clone(), fen)).or_default();
        sum.0 += number("games");
        sum.1 += number("slips");
        sum.2 += cost * number("slips") as f64;
    }
    let mut worst: BTreeMap<String, Planted> = BTreeMap::new();
    for ((name, fen), (games, slips, cost)) in drawn {
        if slips < HABIT || 2 * slips <= games {
            continue;
        }
        let known = worst.get(&name).map_or(0.0, |known| known.cost);
        if cost > known {
            worst.insert(name, Planted { fen, cost });
        }
    }
    worst
}

/// Whether so large a difference stands out among some hundred tests: five standard errors of two
/// shares of about a half, of the games of the level with the slip and with the most played other
/// move, 50 or more of each.
fn stands_out(folder: &Folder, fen: &str, slip: &str, level: &Value, difference: f64) -> bool {
    let bounds = ["from", "below"].map(|bound| level[bound].to_string());
    let fen = format!("{fen} 0 1");
    let options = ["--from", &bounds[0], "--below", &bounds[1], "--format", "json"];
    let answer = folder.run_with(&[&["moves", "--fen", &fen][..], &options].concat()).json();
    let moves = answer["moves"].as_array().expect("a list");
    let games = |wanted: bool| {
        let of = moves.iter().filter(|row| (row["uci"] == slip) == wanted);
        of.filter_map(|row| row["games"].as_u64()).max().unwrap_or(0)
    };
    let [slips, others] = [games(true), games(false)];
    let error = (0.25 / slips as f64 + 0.25 / others as f64).sqrt();
    slips >= 50 && others >= 50 && difference >= 5.0 * error
}

#[test]
#[ignore = "invents 200,000 games"]
fn the_most_costly_habits_that_were_planted_are_found() {
    let folder = Folder::new();
    month(&folder, "before", "52", "2031-05");
    month(&folder, "after", "53", "2031-06");
    folder.run("build before.pgn --keep-from 1 --quiet").ok();
    let (costs, slips) = costs(&folder);
    let planted = planted(&folder, &costs);
    // Drawn by name: the league gives names without regard to anything else.
    let names: Vec<&String> = planted.keys().take(STUDENTS).collect();
    assert!(names.len() >= STUDENTS / 2, "only {} players", names.len());
    let asked = names.iter().flat_map(|name| ["--name", name.as_str()]);
    let asked: Vec<&str> =
        ["student", "after.pgn", "--format", "json"].into_iter().chain(asked).collect();
    let answer = folder.run_with(&asked).json();
    let (mut judged, mut found, mut told, mut covered, mut missed) = (0, 0, 0, 0, Vec::new());
    for student in answer["students"].as_array().expect("a list") {
        let name = student["name"].as_str().expect("a name");
        let (planted, level) = (&planted[name], &student["level"]);
        let slip = &slips[&planted.fen];
        let from = level["from"].as_u64().expect("a rating");
        // Players below 400 or above 2900 are as at these ratings.
        let cost = |band: u64| costs[&(planted.fen.clone(), band.clamp(400, 2900))];
        let truth = [from, from + 100].map(cost);
        let truth = (truth[0] + truth[1]) / 2.0;
        let expected = stands_out(&folder, &planted.fen, slip, level, truth);
        judged += u32::from(expected);
        let habits = student["habits"].as_array().expect("a list");
        let habit = habits.iter().find(|habit| {
            board(habit["fen"].as_str().expect("a FEN")) == planted.fen
                && habit["move"]["uci"] == *slip
        });
        let Some(habit) = habit else {
            missed.extend(
                expected.then(|| format!("{name}: {}, cost {:.2}", planted.fen, planted.cost)),
            );
            continue;
        };
        found += u32::from(expected);
        told += 1;
        let end = |end: &str| habit["difference"][end].as_f64().expect("known");
        let reaches = |cost: f64| end("low") <= cost && cost <= end("high");
        covered += u32::from(reaches(truth));
    }
    assert!(judged >= 10, "only {judged} stand out");
    assert!(10 * found >= 9 * judged, "{found} of {judged}: {missed:#?}");
    assert!(10 * covered >= 9 * told, "{covered} of {told}");
}
