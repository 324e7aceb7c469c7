//! Small literal answers for the tests of the pages.

use std::io;

use shakmaty::Color;

use crate::answers::claims::{Answer, Because, ClaimAnswer, MovesAnswer};
use crate::answers::mate::Proof;
use crate::answers::moves::{MoveRow, MoveTable, PaceGames, PositionView};
use crate::answers::trap::{
    Ahead, BandRow, Choice, Code, Curve, EvalEvidence, Figures, MateEvidence, Soundness,
    SoundnessCode, SoundnessCutoffs, SoundnessSource, Steered, Stretch, TimeTaken, TrapAnswer,
    TrapReport, Usual, Verdict,
};
use crate::answers::{Cutoffs, Mean, Rate, Withheld};
use crate::counts::Limits;
use crate::games::{LeftOut, LeftOutTally};
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

pub(super) fn mean(value: f64, low: f64, high: f64, n: u64) -> Mean {
    Mean { value: Some(value), low: Some(low), high: Some(high), n, withheld: None }
}

fn thin(n: u64) -> Mean {
    let withheld = Some(Withheld::TooFew { n, needed: 50 });
    Mean { value: None, low: None, high: None, n, withheld }
}

fn made_of(piece: &'static str, n: u64) -> Mean {
    let why = Box::new(Withheld::TooFew { n, needed: 50 });
    Mean { withheld: Some(Withheld::Piece { piece, why }), ..thin(n) }
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
        moves: vec![
            MoveRow {
                san: "Nc6".into(),
                uci: "b8c6".into(),
                rank: 1,
                games: 300,
                wins: 140,
                draws: 20,
                losses: 140,
                share: Rate::of(300, 303, 50),
                score: Mean::score(140, 20, 140, 50),
                expected: 0.49,
                edge: mean(0.01, -0.0446, 0.0646, 300),
                ordinary: 0.0,
                clock_s: mean(3.25, 3.0, 3.5, 250),
                eval_cp: Mean::plain(-3000, 120, 50),
            },
            MoveRow {
                san: "Qe7".into(),
                uci: "d8e7".into(),
                rank: 2,
                games: 3,
                wins: 1,
                draws: 0,
                losses: 2,
                share: Rate::of(3, 303, 50),
                score: thin(3),
                expected: 0.5,
                edge: thin(3),
                ordinary: 0.0,
                clock_s: thin(2),
                eval_cp: thin(0),
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
    let share = Rate::of(300, 303, 50);
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
    TrapAnswer { filter: filter(), cutoffs, min_sample: 50, cluster: 1.0, traps, limits: limits() }
}

/// A trap with enough games for everything, and a thin band.
pub(super) fn trap_report() -> TrapReport {
    let figures = figures();
    let band = |from, figures| BandRow { from, below: from + 100, figures };
    let thin_band = Figures {
        games: 3,
        occurrence: Rate::of(3, 200, 50),
        slip_rate: Rate::of(1, 3, 50),
        find_rate: Rate::of(0, 0, 50),
        edge_after_slip: thin(1),
        net: made_of("slip_rate", 3),
        ..figures.clone()
    };
    TrapReport {
        name: "Legal's mate".into(),
        setter: Color::White,
        line: "1. e4 e5 2. Nf3 d6 3. Bc4 Bg4 4. Nc3 g6 5. Nxe5 Bxd1?? 6. Bxf7+".into(),
        trap_fen: "rn1qkbnr/ppp2p1p/3p2p1/4N3/2B1P1b1/2N5/PPPP1PPP/R1BQK2R b KQkq - 0 5".into(),
        bait: Some("Nxe5".into()),
        slip: "Bxd1".into(),
        refutation: Some("Bxf7+".into()),
        bands: vec![band(1200, figures.clone()), band(1300, thin_band)],
        steered_any_order: Rate::of(310, 9000, 50),
        slips: None,
        refutations: None,
        time: TimeTaken {
            slip_s: mean(4.0, 3.0, 5.0, 60),
            others_s: mean(6.5, 6.0, 7.0, 90),
            difference_s: mean(-2.5, -3.6, -1.4, 60),
        },
        curve: Curve {
            slip_rate: vec![Stretch {
                from: 1200,
                below: 1400,
                joined: true,
                figure: Rate::of(121, 306, 50),
            }],
            find_rate: vec![],
            edge_after_slip: vec![],
            slip_below: None,
        },
        by_pace: vec![],
        explain: None,
        figures,
        opening: Some("Philidor Defense".into()),
        eco: Some("C41".into()),
        choices: vec![
            Choice { san: "1...e5".into(), share: Rate::of(4000, 12_000, 50) },
            Choice { san: "2...d6".into(), share: Rate::of(800, 4000, 50) },
        ],
        paces: paces(),
        expected: Some(0.51),
        rating_difference: Some(6.9),
        may_lack: 8,
        soundness: soundness(),
    }
}

/// Two sources that agree and a third that failed.
fn soundness() -> Soundness {
    let evals = EvalEvidence {
        n: 12,
        n_slip: 12,
        best: Some("dxe5".into()),
        n_best: 30,
        after_slip_cp: Some(1000.0),
        without_slip_cp: Some(-21.0),
        slip_loses_cp: Some(1021.0),
    };
    let proof = Proof::Proved { moves: 2 };
    let mate = MateEvidence { n: 57, moves: 2, proof, mate_in: Some(2) };
    Soundness {
        verdict: SoundnessCode::Sound,
        because: "the slip allows mate in 2, and without it the setter has -0.21 by the dumps"
            .into(),
        sources: vec![SoundnessSource::Evals(evals), SoundnessSource::Mate(mate)],
        cutoffs: SoundnessCutoffs::default(),
        notes: vec!["the engine is of no use".into()],
    }
}

fn figures() -> Figures {
    Figures {
        games: 303,
        occurrence: Rate::of(303, 12_345, 50),
        steered: Steered { rate: Rate::of(303, 9000, 50), mixed: true, never: None },
        slip_rate: Rate::of(120, 303, 50),
        find_rate: Rate::of(80, 118, 50),
        score_after_slip: mean(0.8, 0.72, 0.86, 120),
        edge_after_slip: mean(0.29, 0.21, 0.35, 120),
        edge_refuted: mean(0.41, 0.33, 0.46, 80),
        edge_no_slip: mean(-0.12, -0.18, -0.06, 183),
        usual: Usual { san: Some("h3".into()), edge: mean(0.02, -0.01, 0.05, 900) },
        worth: mean(1.6, 0.8, 2.4, 80),
        price: mean(0.14, 0.07, 0.21, 183),
        net: mean(2.34, 0.51, 4.2, 80),
        slips_per_1000: mean(13.3, 11.1, 16.0, 303),
        ahead: Ahead {
            games: 50,
            expected: mean(0.67, 0.55, 0.8, 303),
            at_least_one: mean(0.488, 0.428, 0.553, 303),
        },
        verdict: Verdict {
            codes: vec![Code::Common],
            sentence: "Common: 13.3 slips per 1000 steered games [11.1, 16.0], 303 games.".into(),
        },
    }
}

/// A trap that hardly anybody has met and whose line ends with the slip.
pub(super) fn thin_trap() -> TrapReport {
    let rate = |k, n| Rate::of(k, n, 50);
    let no_reply = || Withheld::NoRefutation;
    let none = |why: Withheld| Mean { withheld: Some(why), ..thin(0) };
    let figures = Figures {
        games: 3,
        occurrence: rate(3, 12_345),
        steered: Steered { rate: rate(0, 9000), mixed: false, never: Some("2...f6".into()) },
        slip_rate: rate(1, 3),
        find_rate: Rate { withheld: Some(no_reply()), ..rate(0, 0) },
        score_after_slip: thin(1),
        edge_after_slip: thin(1),
        edge_refuted: none(no_reply()),
        edge_no_slip: thin(2),
        usual: Usual { san: None, edge: thin(0) },
        worth: none(no_reply()),
        price: made_of("edge_no_slip", 2),
        net: none(no_reply()),
        slips_per_1000: made_of("slip_rate", 3),
        ahead: Ahead {
            games: 50,
            expected: made_of("slip_rate", 3),
            at_least_one: made_of("slip_rate", 3),
        },
        verdict: Verdict {
            codes: vec![Code::TooFewGames],
            sentence: "Too few games: 3 in the trap position, 50 needed.".into(),
        },
    };
    TrapReport {
        name: "A trap with a name that is far too long for one line".into(),
        line: "1. e4 e5 2. Nf3 f6 3. Nxe5 fxe5??".into(),
        trap_fen: "rnbqkbnr/pppp2pp/5p2/4N3/4P3/8/PPPP1PPP/RNBQKB1R b KQkq - 0 3".into(),
        slip: "fxe5".into(),
        refutation: None,
        bands: vec![],
        steered_any_order: rate(0, 9000),
        time: TimeTaken { slip_s: thin(0), others_s: thin(0), difference_s: thin(0) },
        curve: Curve {
            slip_rate: vec![],
            find_rate: vec![],
            edge_after_slip: vec![],
            slip_below: None,
        },
        figures,
        opening: None,
        eco: None,
        choices: vec![],
        paces: vec![],
        expected: None,
        rating_difference: None,
        may_lack: 0,
        ..trap_report()
    }
}
