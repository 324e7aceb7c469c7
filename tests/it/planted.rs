//! The planted truth of the invented league is recovered as often as the intervals promise.
//!
//! Slow, so it runs only when asked: `cargo test --release --test it planted -- --ignored`.

use std::collections::BTreeMap;
use std::process::Command;

use serde_json::Value;

use crate::kit::Folder;

const SEEDS: std::ops::Range<u32> = 1..7;
const GAMES: &str = "40000";

/// Mean truths, weighted by the games that were drawn from them.
#[derive(Default)]
struct Truth {
    slips: (f64, f64),
    finds: (f64, f64),
    bands: BTreeMap<u16, (f64, f64)>,
}

impl Truth {
    fn slip(&self) -> f64 {
        self.slips.0 / self.slips.1
    }

    fn find(&self) -> f64 {
        self.finds.0 / self.finds.1
    }
}

/// Of how many intervals how many hold the truth.
#[derive(Default)]
struct Held {
    held: u32,
    all: u32,
}

impl Held {
    fn note(&mut self, rate: &Value, truth: f64) {
        let (Some(low), Some(high)) = (rate["low"].as_f64(), rate["high"].as_f64()) else { return };
        self.all += 1;
        self.held += u32::from(low <= truth && truth <= high);
    }

    /// A binomial check: at 95 % the number held is within three standard errors, but for 0.3 % of all runs.
    #[expect(clippy::print_stdout, reason = "--nocapture shows the figures")]
    fn check(&self, what: &str) {
        let (held, all) = (f64::from(self.held), f64::from(self.all));
        println!("{what}: {held} of {all} intervals hold the truth, {:.3}", held / all);
        assert!(all >= 50.0, "{what}: only {all} intervals");
        let off = (held - 0.95 * all).abs();
        assert!(off <= 3.0 * (all * 0.95 * 0.05).sqrt(), "{what}: {held} of {all}");
    }
}

fn invent(folder: &Folder, seed: u32) {
    let mut invent = Command::new(env!("CARGO"));
    invent.current_dir(env!("CARGO_MANIFEST_DIR"));
    invent.args(["run", "--quiet", "--release", "--example", "invent", "--", "--clocks", "0.5"]);
    invent.args(["--games", GAMES, "--evals", "0", "--seed", &seed.to_string()]);
    invent.arg("--out").arg(folder.path("dump.pgn"));
    invent.arg("--truth").arg(folder.path("truth.csv"));
    assert!(invent.status().expect("cargo is at hand").success());
}

/// By the FEN of the trap position without its counters.
fn truths(folder: &Folder) -> BTreeMap<String, Truth> {
    let mut truths: BTreeMap<String, Truth> = BTreeMap::new();
    let bytes = folder.read("truth.csv");
    let mut rows = csv::Reader::from_reader(&bytes[..]);
    let head = rows.headers().expect("a head").clone();
    let place = |name: &str| head.iter().position(|column| column == name).expect("a column");
    for row in rows.records() {
        let row = row.expect("a row");
        let number = |name: &str| row[place(name)].parse::<f64>().expect("a number");
        let truth = truths.entry(board(&row[place("trap_fen")])).or_default();
        let add = |sum: &mut (f64, f64), rate, games| {
            sum.0 += rate * games;
            sum.1 += games;
        };
        add(&mut truth.slips, number("slip_rate"), number("games"));
        add(&mut truth.finds, number("find_rate"), number("replies"));
        let band = number("band") as u16;
        truth.bands.insert(band, (number("slip_rate"), number("find_rate")));
    }
    truths
}

fn board(fen: &str) -> String {
    fen.split(' ').take(4).collect::<Vec<_>>().join(" ")
}

#[test]
#[ignore = "a minute and a half in a release build"]
fn the_planted_rates_lie_in_their_intervals_as_often_as_promised() {
    let (mut slips, mut finds, mut bands) = (Held::default(), Held::default(), Held::default());
    let mut hurried = (0, 0);
    for seed in SEEDS {
        let folder = Folder::new();
        invent(&folder, seed);
        folder.run("build dump.pgn").ok();
        let traps = concat!(env!("CARGO_MANIFEST_DIR"), "/data-samples/traps.pgn");
        let answer = folder.run_with(&["trap", traps, "--format", "json"]).json();
        let truths = truths(&folder);
        for trap in answer["traps"].as_array().expect("traps") {
            let truth = &truths[&board(trap["trap_fen"].as_str().expect("a FEN"))];
            slips.note(&trap["slip_rate"], truth.slip());
            finds.note(&trap["find_rate"], truth.find());
            for row in trap["bands"].as_array().expect("bands") {
                let band = u16::try_from(row["from"].as_u64().expect("a band")).expect("a rating");
                let Some(&(slip, find)) = truth.bands.get(&band) else { continue };
                bands.note(&row["slip_rate"], slip);
                bands.note(&row["find_rate"], find);
            }
            // Whoever slips was in a hurry: planted for every trap.
            if let Some(high) = trap["time"]["difference_s"]["high"].as_f64() {
                hurried.0 += u32::from(high < 0.0);
                hurried.1 += 1;
                assert!(trap["time"]["difference_s"]["low"].as_f64() < Some(0.0), "{trap}");
            }
        }
    }
    assert!(hurried.0 * 10 >= hurried.1 * 8, "{hurried:?}: most differences are seen");
    slips.check("slip rates");
    finds.check("find rates");
    bands.check("rates of bands");
}
