//! Small answers for the tests of the pages.

use std::io;

use crate::answers::claims::{ABOUT, MovesAnswer};
use crate::answers::kit::{ModelCounts, play};
use crate::answers::moves::table;
use crate::answers::trap::{TrapAnswer, TrapReport, judge};
use crate::answers::{Cutoffs, Figure, Question};
use crate::counts::Limits;
use crate::games::{LeftOut, LeftOutTally};
use crate::lines::{Claim, Trap};
use crate::terms::{Band, BandRange, CellId, MoverFilter, Pace, PaceSet};

/// What a page writes.
pub(super) fn printed(page: impl FnOnce(&mut Vec<u8>) -> io::Result<()>) -> String {
    let mut bytes = Vec::new();
    page(&mut bytes).expect("a vector takes every byte");
    String::from_utf8(bytes).expect("text")
}

pub(super) fn left_out_of(games: &[(LeftOut, u64)]) -> LeftOutTally {
    let mut tally = LeftOutTally::default();
    for (reason, games) in games {
        (0..*games).for_each(|_| tally.add(*reason));
    }
    tally
}

pub(super) fn mean(value: f64, low: f64, high: f64, n: u64) -> Figure {
    Figure {
        value: Some(value),
        low: Some(low),
        high: Some(high),
        k: None,
        n,
        n_eff: n as f64,
        withheld: None,
    }
}

fn filter() -> MoverFilter {
    let bands = BandRange::new(1200, 2000).expect("on band edges");
    MoverFilter { bands, paces: PaceSet::ALL }
}

pub fn limits() -> Limits {
    Limits {
        half_moves: 30,
        keep_from: 5,
        absent_may_lack: 4,
        games: 10_000,
        nameless_sides: 42,
        incomplete: vec!["harbour-2031-05.pgn.zst".into()],
    }
}

/// 303 games of blitz and rapid, one move often played and one hardly, and a claim about the first.
pub(super) fn moves_of_two() -> MovesAnswer {
    let line = "e4 e5 Nf3";
    let mut counts = ModelCounts::new();
    let games = [(140, "0-1", "Nc6"), (20, "1/2", "Nc6"), (140, "1-0", "Nc6"), (3, "1-0", "Qe7")];
    for (times, result, mv) in games {
        for game in 0..times {
            let pace = if game % 3 == 0 { Pace::Rapid } else { Pace::Blitz };
            counts.game([1510, 1490], pace, result, &format!("{line} {mv}"));
        }
    }
    let position = play(line).1;
    let [often, hardly] = ["Nc6", "Qe7"].map(|mv| play(&format!("{line} {mv}")).0[3]);
    let id = CellId::new(Band::from_index(14).expect("a band"), Pace::Blitz);
    (0..120).for_each(|_| counts.cell(&position, often, id).add_eval(-25));
    (0..120).for_each(|game| counts.cell(&position, often, id).add_clock(30 + game % 6));
    counts.cell(&position, hardly, id).add_clock(20);
    counts = counts.describe(line, "C40", "King's Knight Opening", 4);
    counts.limits = limits();
    let Ok(table) =
        table(&counts, &position, &Question { filter: filter(), ..Question::default() });
    let claim = Claim::parse("Nc6 >= 98%", &position).expect("a claim");
    MovesAnswer::of(table, &position, &[claim], ABOUT)
}

pub(super) fn trap_answer(traps: Vec<TrapReport>) -> TrapAnswer {
    let cutoffs = Cutoffs { common: 5.0, occasional: 1.0 };
    TrapAnswer { filter: filter(), cutoffs, min_sample: 50, traps, limits: limits() }
}

/// Legal's mate, laid 300 times and more, with a thin band.
pub(super) fn trap_report() -> TrapReport {
    let laid = "e4 e5 Nf3 d6 Bc4 Bg4 Nc3 g6";
    let counts = ModelCounts::new()
        .add(80, [1250, 1250], "1-0", &format!("{laid} Nxe5 Bxd1 Bxf7+"))
        .add(40, [1250, 1250], "0-1", &format!("{laid} Nxe5 Bxd1 Kxd1"))
        .add(90, [1250, 1250], "1-0", &format!("{laid} Nxe5 dxe5 Qxg4"))
        .add(110, [1250, 1250], "0-1", &format!("{laid} Nxe5 dxe5 Qxg4"))
        .add(3, [1350, 1350], "0-1", &format!("{laid} Nxe5 dxe5 Qxg4"))
        .add(200, [1250, 1250], "1/2", &format!("{laid} h3"))
        .add(400, [1250, 1250], "1/2", "e4 c5")
        .describe("e4 e5 Nf3 d6 Bc4", "C41", "Philidor Defense", 8);
    let text = "[Event \"Legal's mate\"]\n\n1. e4 e5 2. Nf3 d6 3. Bc4 Bg4 4. Nc3 g6 5. Nxe5 Bxd1?? 6. Bxf7+";
    judged(&counts, text)
}

/// A trap that nobody springs, on a way that nobody goes.
pub(super) fn thin_trap() -> TrapReport {
    let counts = ModelCounts::new().add(60, [1250, 1250], "1/2", "e4 e5 Nf3 Nc6");
    let name = "A trap with a name that is far too long for one line";
    judged(&counts, &format!("[Event \"{name}\"]\n\n1. e4 e5 2. Nf3 f6 3. Nxe5 fxe5?? 4. Qh5+"))
}

fn judged(counts: &ModelCounts, text: &str) -> TrapReport {
    let trap = Trap::read_all(text).swap_remove(0).expect("a trap");
    let question = Question { filter: filter(), ..Question::default() };
    let Ok(report) = judge(counts, &trap, &question);
    report
}
