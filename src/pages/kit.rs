//! Small literal answers for the tests of the pages.

use std::io;

use shakmaty::Color;

use crate::answers::claims::{Answer, Because, ClaimAnswer, MovesAnswer};
use crate::answers::kit::ModelCounts;
use crate::answers::moves::{MoveRow, MoveTable, PaceGames, PositionView};
use crate::answers::stats::DesignEffect;
use crate::answers::trap::{TrapAnswer, TrapReport, judge};
use crate::answers::{Cutoffs, Figure, Question, Sampling, Withheld};
use crate::counts::Limits;
use crate::games::{LeftOut, LeftOutTally};
use crate::lines::Trap;
use crate::terms::{BandRange, MoverFilter, Pace, PaceSet};

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

fn thin(n: u64) -> Figure {
    let withheld = Some(Withheld::TooFewGames { n, n_eff: n, needed: 50 });
    Figure { value: None, low: None, high: None, k: None, n, n_eff: n as f64, withheld }
}

fn filter() -> MoverFilter {
    let bands = BandRange::new(1200, 2000).expect("on band edges");
    MoverFilter { bands, paces: PaceSet::ALL }
}

fn limits() -> Limits {
    Limits {
        half_moves: 30,
        keep_from: 5,
        absent_may_lack: 4,
        games: 10_000,
        nameless_sides: 42,
        incomplete: vec!["harbour-2031-05.pgn.zst".into()],
    }
}

fn paces() -> Vec<PaceGames> {
    let part = |pace, games| PaceGames { pace, games };
    vec![part(Pace::Blitz, 203), part(Pace::Rapid, 100)]
}

/// 303 games, one move often played and one hardly.
pub(super) fn move_table_of_two() -> MoveTable {
    MoveTable {
        position: PositionView {
            fen: "rnbqkbnr/pppp1ppp/8/4p3/4P3/5N2/PPPP1PPP/RNBQKB1R b KQkq - 1 2".into(),
            to_move: Color::Black,
            name: Some("King's Knight Opening".into()),
            eco: Some("C40".into()),
            may_lack: 4,
        },
        filter: filter(),
        games: 303,
        effect: DesignEffect { games: 303, games_a_player: 1.0, share: 1.0 },
        moves: vec![
            MoveRow {
                san: "Nc6".into(),
                uci: "b8c6".into(),
                rank: 1,
                games: 300,
                wins: 140,
                draws: 20,
                losses: 140,
                share: Sampling::from(50).share(300, 303),
                score: Sampling::from(50).score(140, 20, 140),
                expected: 0.49,
                edge: mean(0.01, -0.0446, 0.0646, 300),
                ordinary: 0.0,
                clock_s: mean(3.25, 3.0, 3.5, 250),
                eval_cp: Sampling::from(50).mean(-3000, 120),
                across: Vec::new(),
            },
            MoveRow {
                san: "Qe7".into(),
                uci: "d8e7".into(),
                rank: 2,
                games: 3,
                wins: 1,
                draws: 0,
                losses: 2,
                share: Sampling::from(50).share(3, 303),
                score: thin(3),
                expected: 0.5,
                edge: thin(3),
                ordinary: 0.0,
                clock_s: thin(2),
                eval_cp: thin(0),
                across: Vec::new(),
            },
        ],
        min_sample: 50,
        paces: paces(),
        expected: Some(0.49),
        rating_difference: Some(-6.9),
        limits: limits(),
    }
}

/// The same with a claim about it.
pub(super) fn moves_of_two() -> MovesAnswer {
    let share = Sampling::from(50).share(300, 303);
    let claim = ClaimAnswer {
        claim: "Nc6 >= 99%".into(),
        answer: Answer::Undecided,
        because: Because { share, ranks: None, other_games: None, score: None, edge: None },
        games_to_decide: Some(20_345),
    };
    MovesAnswer { table: move_table_of_two(), claims: vec![claim] }
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
