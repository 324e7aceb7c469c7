//! The planted truth of the invented league is recovered as often as the intervals promise: over
//! the whole, by band, by pace, and the thinking times.
//!
//! Slow, so it runs only when asked: `cargo test --profile slow --test it planted -- --ignored`.

mod promise;

use std::collections::BTreeMap;

use serde_json::Value;

use crate::kit::{Folder, inventor};
use promise::{Family, Players};

/// Not looked at before the bounds of [`promise`] were written down.
const SEEDS: std::ops::Range<u32> = 9001..9011;
const GAMES: &str = "40000";
/// Traps are rare: a minimum of fifty games would leave too few bands to count.
const MIN_SAMPLE: &str = "10";
/// Times have long tails; as few as that says nothing about them.
const MIN_SAMPLE_OF_TIMES: &str = "50";

/// Choices of one player in one trap at one pace and in one band.
struct Choices {
    pace: String,
    band: u16,
    player: u32,
    games: u64,
    /// How often players of the band choose so.
    share: f64,
}

/// Games with clocks and the sum of the means of their seconds, by pace.
type Times = BTreeMap<String, (u64, f64)>;

/// What was planted in one trap in one month.
#[derive(Default)]
struct Truth {
    slips: Vec<Choices>,
    finds: Vec<Choices>,
    /// Of the slip and of the other moves.
    times: [Times; 2],
}

/// One month: the truths by the FEN of the trap position without its counters, and the
/// program's answers.
struct Month {
    truths: BTreeMap<String, Truth>,
    rates: Value,
    times: Value,
}

impl Month {
    fn invent(seed: u32) -> Month {
        let folder = Folder::new();
        let mut invent = inventor();
        invent.args(["--clocks", "1", "--evals", "0"]);
        invent.args(["--games", GAMES, "--seed", &seed.to_string()]);
        for (option, file) in
            [("--out", "dump.pgn"), ("--truth", "truth.csv"), ("--paces", "paces.csv")]
        {
            invent.arg(option).arg(folder.path(file));
        }
        assert!(invent.status().expect("it is at hand").success());
        folder.run("build dump.pgn --keep-from 1").ok();
        let ask = |min_sample| {
            let traps = concat!(env!("CARGO_MANIFEST_DIR"), "/data-samples/traps.pgn");
            let options =
                ["trap", traps, "--by", "pace", "--format", "json", "--min-sample", min_sample];
            folder.run_with(&options).json()
        };
        Month { truths: truths(&folder), rates: ask(MIN_SAMPLE), times: ask(MIN_SAMPLE_OF_TIMES) }
    }

    /// Each trap of an answer with its truth.
    fn each<'a>(&'a self, answer: &'a Value) -> impl Iterator<Item = (&'a Truth, &'a Value)> {
        let traps = answer["traps"].as_array().expect("traps");
        traps.iter().map(|trap| (&self.truths[&board(&trap["trap_fen"])], trap))
    }
}

fn board(fen: &Value) -> String {
    without_counters(fen.as_str().expect("a FEN"))
}

fn without_counters(fen: &str) -> String {
    fen.split(' ').take(4).collect::<Vec<_>>().join(" ")
}

/// The rows of a CSV file, each column by its name.
fn rows(folder: &Folder, name: &str) -> Vec<BTreeMap<String, String>> {
    let bytes = folder.read(name);
    csv::Reader::from_reader(&bytes[..]).deserialize().map(|row| row.expect("a row")).collect()
}

fn truths(folder: &Folder) -> BTreeMap<String, Truth> {
    let number = |row: &BTreeMap<String, String>, name: &str| row[name].parse::<f64>();
    let number = |row: &_, name: &str| number(row, name).expect("a number");
    let place = |row: &BTreeMap<String, String>| {
        (without_counters(&row["trap_fen"]), row["band"].parse::<u16>().expect("a band"))
    };
    let planted: BTreeMap<_, (f64, f64)> = rows(folder, "truth.csv")
        .iter()
        .map(|row| (place(row), (number(row, "slip_rate"), number(row, "find_rate"))))
        .collect();
    let mut truths: BTreeMap<String, Truth> = BTreeMap::new();
    for row in &rows(folder, "paces.csv") {
        let (fen, band) = place(row);
        let (slip, find) = planted[&(fen.clone(), band)];
        let (truth, pace) = (truths.entry(fen).or_default(), row["pace"].clone());
        let player = number(row, "player") as u32;
        for (choices, games, share) in
            [(&mut truth.slips, "games", slip), (&mut truth.finds, "replies", find)]
        {
            let games = number(row, games) as u64;
            if games > 0 {
                choices.push(Choices { pace: pace.clone(), band, player, games, share });
            }
        }
        for (times, name) in truth.times.iter_mut().zip(["slip", "other"]) {
            let time = times.entry(pace.clone()).or_default();
            time.0 += number(row, &format!("{name}_timed")) as u64;
            time.1 += number(row, &format!("{name}_seconds"));
        }
    }
    truths
}

/// The choices of this pace, this band, or both, or all, by player: number and true share.
fn of(choices: &[Choices], pace: Option<&str>, band: Option<u64>) -> Players {
    let wanted = |at: &&Choices| {
        pace.is_none_or(|pace| at.pace == pace)
            && band.is_none_or(|band| u64::from(at.band) == band)
    };
    let mut players = Players::new();
    for choice in choices.iter().filter(wanted) {
        players.entry(choice.player).or_default().push((choice.games, choice.share));
    }
    players
}

/// The true means of all months together, by trap, slip or not, and pace: the mean that time
/// controls and clocks of a pace give.
fn seconds(months: &[Month]) -> BTreeMap<(&str, usize, &str), f64> {
    let mut sums: BTreeMap<_, (u64, f64)> = BTreeMap::new();
    for (fen, truth) in months.iter().flat_map(|month| &month.truths) {
        for (which, times) in truth.times.iter().enumerate() {
            for (pace, (n, seconds)) in times {
                let sum = sums.entry((fen.as_str(), which, pace.as_str())).or_default();
                sum.0 += n;
                sum.1 += seconds;
            }
        }
    }
    sums.into_iter().map(|(place, (n, seconds))| (place, seconds / n.max(1) as f64)).collect()
}

#[test]
#[ignore = "two minutes in a release build"]
fn the_planted_rates_lie_in_their_intervals_as_often_as_promised() {
    let months: Vec<Month> = SEEDS.map(Month::invent).collect();
    let [mut slips, mut finds] = <[Family; 2]>::default();
    // Of bands and of paces the victims' and the setters' choices together.
    let [mut bands, mut paces] = <[Family; 2]>::default();
    let [mut times, mut differences] = <[Family; 2]>::default();
    let seconds = seconds(&months);
    for month in &months {
        for (truth, trap) in month.each(&month.rates) {
            slips.share(&trap["slip_rate"], &of(&truth.slips, None, None));
            finds.share(&trap["find_rate"], &of(&truth.finds, None, None));
            for row in trap["bands"].as_array().expect("bands") {
                let band = row["from"].as_u64();
                bands.share(&row["slip_rate"], &of(&truth.slips, None, band));
                bands.share(&row["find_rate"], &of(&truth.finds, None, band));
            }
            let rows = trap["by_pace"].as_array().expect("paces");
            for (rate, choices) in [("slip_rate", &truth.slips), ("find_rate", &truth.finds)] {
                let row =
                    |row: &Value| (row[rate].clone(), of(choices, row["pace"].as_str(), None));
                paces.shares(rows.iter().map(row));
            }
        }
        for (truth, trap) in month.each(&month.times) {
            let fen = board(&trap["trap_fen"]);
            // At the paces of the games that were timed, as the answer takes them.
            let mean = |which: usize| {
                let times = &truth.times[which];
                let n: u64 = times.values().map(|(n, _)| n).sum();
                let sum = times
                    .iter()
                    .map(|(pace, (n, _))| *n as f64 * seconds[&(&fen[..], which, &pace[..])]);
                (n, sum.sum::<f64>() / n.max(1) as f64)
            };
            let ((slip_n, slip), (_, other)) = (mean(0), mean(1));
            let time = &trap["time"];
            assert_eq!(time["slip_s"]["n"], slip_n, "the games with clocks are those drawn");
            times.time(&time["slip_s"], slip);
            times.time(&time["others_s"], other);
            differences.time(&time["difference_s"], slip - other);
        }
    }
    slips.check("slip rates", 150);
    finds.check("find rates", 140);
    bands.check("rates of bands", 1100);
    paces.check("rates of paces", 650);
    times.check("thinking times", 150);
    differences.check("differences of thinking times", 45);
}
