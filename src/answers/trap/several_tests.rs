//! Several slips and refutations of one position against the definitions, computed game by game
//! from a plain list.

use proptest::prelude::*;

use super::kit::{BAIT, ask};
use super::*;
use crate::answers::Figure;
use crate::answers::kit::ModelCounts;
use crate::answers::stats::pools;
use crate::lines::Trap;
use crate::terms::Pace;

const TRAP: &str = "1. e4 e5 2. Nf3 Nc6 3. Bc4 Nd4 4. Nxe5?? (4. Bxf7+?? Kxf7 (4... Ke7) 5. Nxe5+) 4... Qg5 (4... Ne6) *";

/// What White may play in the trap position, what Black replies, and which of the replies refute.
const SLIPS: [(&str, [(&str, bool); 3]); 2] = [
    ("Nxe5", [("Qg5", true), ("Ne6", true), ("d6", false)]),
    ("Bxf7", [("Kxf7", true), ("Ke7", true), ("Ke7", true)]),
];
const HELD: [&str; 2] = ["c3", "O-O"];

#[derive(Clone, Copy, Debug)]
enum Played {
    /// A slip and a reply.
    Slip(usize, usize),
    Held(usize),
    /// Another move instead of the bait.
    Usual,
}

/// Moves and the result in Black's half points; all players are equal.
fn games() -> impl Strategy<Value = Vec<(Played, u8)>> {
    let played = prop_oneof![
        6 => (0..2usize, 0..3usize).prop_map(|(slip, reply)| Played::Slip(slip, reply)),
        2 => (0..2usize).prop_map(Played::Held),
        2 => Just(Played::Usual),
    ];
    prop::collection::vec((played, 0..=2u8), 1..400)
}

fn moves(played: Played) -> String {
    match played {
        Played::Slip(slip, reply) => {
            let (san, replies) = SLIPS[slip];
            format!("{BAIT} {san} {}", replies[reply].0)
        }
        Played::Held(held) => format!("{BAIT} {}", HELD[held]),
        Played::Usual => "e4 e5 Nf3 Nc6 Bc4 Bc5".into(),
    }
}

fn near(figure: &Figure, want: f64) -> Result<(), TestCaseError> {
    if let (Some(value), Some(low), Some(high)) = (figure.value, figure.low, figure.high) {
        prop_assert!((value - want).abs() < 1e-9, "{} is not {}", value, want);
        prop_assert!(low <= value && value <= high, "{} {} {}", low, value, high);
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn slips_add_up_and_no_marked_move_is_told_as_an_answer(games in games()) {
        let mut counts = ModelCounts::new();
        for &(played, halves) in &games {
            let result = ["1-0", "1/2", "0-1"][usize::from(halves)];
            counts.game([1500, 1500], Pace::Blitz, result, &moves(played));
        }
        let traps: Vec<Trap> = Trap::read_all(TRAP).into_iter().filter_map(Result::ok).collect();
        prop_assert_eq!(traps.len(), 1);
        let question = ask(1);
        let Ok(report) = judge(&counts, &traps[0], &question);
        let figures = &report.figures;

        // All games are of one kind, so an edge is a mean score less that of all.
        let mean = |of: &dyn Fn(Played) -> bool| {
            let points: Vec<f64> =
                games.iter().filter(|game| of(game.0)).map(|game| f64::from(game.1) / 2.0).collect();
            points.iter().sum::<f64>() / points.len() as f64
        };
        let ordinary = mean(&|_| true);
        let count = |of: &dyn Fn(Played) -> bool| games.iter().filter(|game| of(game.0)).count() as u64;
        let slipped = |slip: usize| move |played: Played| matches!(played, Played::Slip(its, _) if its == slip);
        let refuted = |slip: usize| move |played: Played| {
            matches!(played, Played::Slip(its, reply) if its == slip && SLIPS[its].1[reply].1)
        };
        let (slips, found) = ([0, 1].map(|slip| count(&slipped(slip))), [0, 1].map(|slip| count(&refuted(slip))));
        let here = count(&|played| !matches!(played, Played::Usual));
        let all: u64 = slips.iter().sum();
        prop_assert_eq!((figures.slip_rate.k, figures.slip_rate.n), (Some(all), here));
        prop_assert_eq!((figures.find_rate.k, figures.find_rate.n), (Some(found.iter().sum::<u64>()), all));

        let mut order = [0usize, 1];
        order.sort_by_key(|&slip| found[slip]);
        let strata = pools(&order.map(|slip| found[slip]));
        let edge_of = |pool: &Vec<usize>| {
            mean(&|played| pool.iter().any(|&place| refuted(order[place])(played))) - ordinary
        };
        let edge: f64 = strata
            .iter()
            .map(|pool| {
                let weight: u64 = pool.iter().map(|&place| slips[order[place]]).sum();
                weight as f64 / all as f64 * edge_of(pool)
            })
            .sum();
        near(&figures.edge_refuted, edge)?;
        let held = mean(&|played| matches!(played, Played::Held(_))) - ordinary;
        let usual = mean(&|played| matches!(played, Played::Usual)) - ordinary;
        near(&figures.edge_no_slip, held)?;
        let p = all as f64 / here as f64;
        let s = 1.0;
        near(&figures.net, 1000.0 * s * (p * edge + (1.0 - p) * held - usual))?;

        let told = report.slips.as_ref().expect("two are marked");
        for (slip, own) in told.moves.iter().enumerate() {
            prop_assert_eq!((own.share.k, own.share.n), (Some(slips[slip]), here));
            prop_assert_eq!((own.find_rate.k, own.find_rate.n), (Some(found[slip]), slips[slip]));
        }
        let Ok(material) = crate::answers::lesson::Material::of(&counts, traps[0].clone(), &question, false);
        for answer in &material.answers {
            prop_assert!(HELD.contains(&material.victims.moves[answer.row].san.as_str()));
        }
        let Ok(victim) = judge_victim(&counts, &traps, &question);
        let instead = &victim.traps[0].instead;
        let marked = instead.iter().position(|row| victim.traps[0].slips.contains(&row.san));
        let rest = marked.map_or(&[][..], |first| &instead[first..]);
        prop_assert!(rest.iter().all(|row| victim.traps[0].slips.contains(&row.san)), "slips come last");
    }
}
