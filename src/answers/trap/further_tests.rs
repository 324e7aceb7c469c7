//! Orders, alternatives, paces and the victim's side on hand-written games.

use super::kit::{BAIT, ask, laid_by_black, near, report};
use super::*;
use crate::answers::kit::{ModelCounts, trap};
use crate::answers::stats::{Factor, T_95, product_interval};
use crate::answers::{Question, Withheld};
use crate::lines::Trap;
use crate::terms::Pace;

const EQUALS: [u16; 2] = [1500, 1500];

/// By 1. e4 2. Nf3 3. Bc4: 7/10 x 7/7 x 6/7. By 1. Nf3 2. e4 3. Bc4: 2/10 x 2/2, and then 8/9 in
/// place of 6/7, since both orders meet after 2... Nc6: (0.7 + 0.2) x 8/9 = 0.8. By 1. e4 2.
/// Bc4: nobody.
#[test]
fn any_order_adds_the_orders_and_meets_where_they_meet() {
    let counts = ModelCounts::new()
        .add(6, EQUALS, "1-0", &format!("{BAIT} Nxe5 Qg5"))
        .add(1, EQUALS, "1-0", "e4 e5 Nf3 Nc6 Bb5")
        .add(2, EQUALS, "1-0", "Nf3 e5 e4 Nc6 Bc4 Nd4 c3")
        .add(1, EQUALS, "1-0", "d4");
    let rate = report(&counts, &laid_by_black(), &ask(1)).steered_any_order;
    near(rate.value, 0.8);
    assert_eq!((rate.k, rate.n), (Some(7), 7), "the thinnest choice of the likeliest order");
}

#[test]
fn with_one_order_played_it_is_steered_in_one_band() {
    let counts = ModelCounts::new().add(60, EQUALS, "1-0", &format!("{BAIT} Nxe5 Qg5")).add(
        40,
        EQUALS,
        "1-0",
        "e4 e5 Nf3 Nc6 Bb5",
    );
    let report = report(&counts, &laid_by_black(), &ask(1));
    assert_eq!(report.steered_any_order.value, report.figures.steered.rate.value);
    let want = product_interval(
        &[Factor::new(100, 100), Factor::new(100, 100), Factor::new(60, 100)],
        T_95,
    );
    let high = report.steered_any_order.high.expect("known");
    assert!((high - want.high).abs() < 0.01, "{high}, {want:?}");
}

/// Black's knight goes out, home and out again: the two equal moves make one order, not two.
#[test]
fn equal_moves_make_one_order() {
    let moves = "e4 Nf6 e5 Ng8 d4 Nf6 exf6 gxf6 Qh5";
    let counts = ModelCounts::new()
        .add(3, EQUALS, "1-0", moves)
        .add(1, EQUALS, "1-0", "e4 Nf6 e5 Ng8 d4 d6")
        .add(4, EQUALS, "1-0", "e4 e5");
    near(report(&counts, &trap(moves, 7), &ask(1)).steered_any_order.value, 0.5 * 0.75);
}

#[test]
fn a_line_with_more_than_twelve_moves_is_not_put_in_every_order() {
    let moves = format!("{}e4 e5", "Nf3 Nf6 Ng1 Ng8 ".repeat(7));
    let rate = report(&ModelCounts::new(), &trap(&moves, 28), &ask(1)).steered_any_order;
    assert_eq!(rate.withheld, Some(Withheld::TooLong { moves: 14, most: 12 }));
}

#[test]
fn alternatives_are_told_one_by_one_and_together() {
    let counts = ModelCounts::new()
        .add(3, EQUALS, "0-1", &format!("{BAIT} Nxe5 Qg5"))
        .add(2, EQUALS, "0-1", &format!("{BAIT} Nxe5 Ne6"))
        .add(1, EQUALS, "1-0", &format!("{BAIT} Nxe5 d6"))
        .add(4, EQUALS, "0-1", &format!("{BAIT} Bxf7"));
    let trap = Trap::from_text(
        "1. e4 e5 2. Nf3 Nc6 3. Bc4 Nd4 4. Nxe5?? (4. Bxf7+?? Kxf7) 4... Qg5 (4... Ne6)",
    );
    let trap = trap.into_iter().next().expect("one position").expect("a trap");
    let report = report(&counts, &trap, &ask(1));
    let (slips, refutations) = (report.slips.expect("two"), report.refutations.expect("three"));
    let told: Vec<_> = slips.moves.iter().map(|slip| (slip.san.as_str(), slip.share.k)).collect();
    assert_eq!(told, [("Nxe5", Some(6)), ("Bxf7+", Some(4))]);
    assert_eq!((slips.together.k, slips.together.n), (Some(10), 10));
    let told = refutations
        .moves
        .iter()
        .map(|mv| (mv.after.as_str(), mv.san.as_str(), mv.share.k, mv.share.n));
    let want =
        [("Nxe5", "Qg5", Some(3), 6), ("Nxe5", "Ne6", Some(2), 6), ("Bxf7+", "Kxf7", Some(0), 0)];
    assert_eq!(told.collect::<Vec<_>>(), want);
    // The games in which the king's bishop takes end there.
    assert_eq!((refutations.together.k, refutations.together.n), (Some(5), 6));
    assert_eq!((report.figures.slip_rate.k, report.figures.find_rate.k), (Some(10), Some(5)));
}

#[test]
fn without_alternatives_and_unasked_nothing_more_is_told() {
    let counts = ModelCounts::new().add(3, EQUALS, "0-1", &format!("{BAIT} Nxe5 Qg5"));
    let report = report(&counts, &laid_by_black(), &ask(1));
    assert_eq!((&report.slips, &report.refutations, &report.explain), (&None, &None, &None));
    assert!(report.by_pace.is_empty() && report.curve.slip_below.is_none());
}

#[test]
fn each_pace_has_its_own_figures() {
    let mut counts = ModelCounts::new();
    for (pace, games) in [(Pace::Bullet, 3), (Pace::Rapid, 2), (Pace::Correspondence, 1)] {
        (0..games).for_each(|_| counts.game(EQUALS, pace, "0-1", &format!("{BAIT} Nxe5 Qg5")));
    }
    let question = Question { by_pace: true, ..ask(1) };
    let report = report(&counts, &laid_by_black(), &question);
    let games: Vec<_> = report.by_pace.iter().map(|row| (row.pace, row.figures.games)).collect();
    let want = [(Pace::Bullet, 3), (Pace::Blitz, 0), (Pace::Rapid, 2), (Pace::Classical, 0)];
    assert_eq!(games, want);
}

/// Black sets it: 1... e5 in 9 of 10 games, 2... Nc6 in 8 of 9, 3... Nd4 in 5 of 8.
#[test]
fn it_comes_up_as_often_as_the_setters_choose_it() {
    let counts = ModelCounts::new()
        .add(5, EQUALS, "0-1", &format!("{BAIT} c3"))
        .add(3, EQUALS, "1-0", "e4 e5 Nf3 Nc6 Bc4 Bc5")
        .add(1, EQUALS, "1-0", "e4 e5 Nf3 d6")
        .add(1, EQUALS, "1-0", "e4 c5");
    let traps = [laid_by_black()];
    let Ok(answer) = judge_victim(&counts, &traps, &ask(1));
    let trap = &answer.traps[0];
    near(trap.comes_up.rate.value, 0.5);
    assert_eq!((trap.comes_up.rate.k, trap.comes_up.rate.n), (Some(5), 8));
    assert_eq!((trap.slip_rate.k, trap.slip_rate.n), (Some(0), 5));
    let earlier: Vec<&str> = trap.earlier.iter().map(|choice| choice.san.as_str()).collect();
    assert_eq!(earlier, ["3.Bc4", "2.Nf3"]);
    assert_eq!(trap.instead[0].san, "c3");
}

#[test]
fn a_slip_on_the_first_move_needs_no_setter() {
    let counts = ModelCounts::new().add(2, EQUALS, "1-0", "e4 e5");
    let Ok(answer) = judge_victim(&counts, &[trap("e4 e5", 0)], &ask(1));
    assert!(answer.traps[0].comes_up.rate.withheld.is_some());
    assert!(answer.traps[0].earlier.is_empty());
}

/// Games over three bands, some full and some thin, on a line with a choice.
fn three_bands() -> ModelCounts {
    let mut counts = ModelCounts::new();
    for (rating, games) in [(1500, 90), (1600, 40), (1700, 20)] {
        let ratings = [rating, 1500];
        counts = counts
            .add(games, ratings, "0-1", &format!("{BAIT} Nxe5 Qg5"))
            .add(games / 2, ratings, "1/2", &format!("{BAIT} Nxe5 Ne6"))
            .add(games / 2, ratings, "1-0", &format!("{BAIT} c3"))
            .add(games / 4, ratings, "1-0", "e4 e5 Nf3 Nc6 Bc4 Nf6")
            .add(games / 3, ratings, "1/2", "e4 e5 Nf3 Nc6 Bb5")
            .add(games / 5, ratings, "0-1", "e4 c5");
    }
    counts
}

/// `hiding` says the same as `open`, or nothing.
fn hides_only(open: &serde_json::Value, hiding: &serde_json::Value, path: &str) {
    use serde_json::Value::{Array, Null, Object};
    match (open, hiding) {
        (_, Null) => {}
        (Array(open), Array(hiding)) => {
            assert_eq!(open.len(), hiding.len(), "{path}");
            open.iter().zip(hiding).for_each(|(open, hiding)| hides_only(open, hiding, path));
        }
        (Object(open), Object(hiding)) => {
            // What is said of hiding itself.
            let said = |name: &str| !matches!(name, "withheld" | "verdict" | "advice");
            for (name, value) in hiding.iter().filter(|(name, _)| said(name)) {
                let open = open.get(name).unwrap_or_else(|| panic!("{path}.{name} is new"));
                hides_only(open, value, &format!("{path}.{name}"));
            }
        }
        (open, hiding) => assert_eq!(open, hiding, "{path}"),
    }
}

#[test]
fn a_minimum_sample_hides_values_and_changes_none() {
    let (counts, trap) = (three_bands(), laid_by_black());
    let json = |min_sample| {
        let question = Question {
            min_sample,
            by_pace: true,
            explain: true,
            slip_below: Some(0.6),
            ..Question::default()
        };
        serde_json::to_value(report(&counts, &trap, &question)).expect("plain data")
    };
    let open = json(0);
    let mut hidden = 0;
    for least in (0..120).chain((120..600).step_by(40)) {
        let hiding = json(least);
        hides_only(&open, &hiding, "trap");
        hidden += u32::from(hiding != open);
    }
    assert!(hidden > 100, "the larger ones hide something");
}

/// 1... e5 in 9 of 10 games and so on: the setter's choices before the bait 3... Nd4 are 1... e5
/// and 2... Nc6.
#[test]
fn the_setters_earlier_choices_are_held_against_the_usual_ones() {
    let report = report(&three_bands(), &laid_by_black(), &ask(1));
    let [first, second] = &report.earlier_choices[..] else {
        panic!("two choices before the bait")
    };
    assert_eq!((first.san.as_str(), second.san.as_str()), ("1...e5", "2...Nc6"));
    assert_eq!(first.usual.san.as_deref(), Some("c5"));
    let (edge, usual) = (first.edge.value.expect("known"), first.usual.edge.value.expect("known"));
    near(first.difference.value, edge - usual);
    assert!(first.difference.low < first.difference.value);
    // Nobody played another second move.
    assert_eq!((second.usual.san.as_deref(), second.difference.value), (None, None));
}

/// All sixty games in the trap position are one victim's.
#[test]
fn games_of_few_players_tell_less() {
    let counts = ModelCounts::new().add(60, EQUALS, "0-1", &format!("{BAIT} Nxe5 Qg5"));
    let apart = report(&counts, &laid_by_black(), &ask(1));
    let counts = counts.by_one_player(BAIT);
    let alone = report(&counts, &laid_by_black(), &ask(1));
    let n_eff = |report: &TrapReport| report.figures.slip_rate.n_eff;
    // One move, so 1 + 0.7 (m - 1) with m = (60^2 - 60^2/32) / (60 (1 - 1/32)) = 60.
    near(Some(n_eff(&alone)), 60.0 / (1.0 + 0.7 * 59.0));
    near(Some(alone.figures.edge_after_slip.n_eff), 60.0 / (1.0 + 0.02 * 59.0));
    near(Some(alone.figures.find_rate.n_eff), apart.figures.find_rate.n_eff);
    assert!(n_eff(&apart) > 50.0);
    let thin = report(&counts, &laid_by_black(), &ask(50));
    assert_eq!(thin.figures.slip_rate.value, None);
    assert!(thin.figures.slip_rate.low.is_some());
    assert_eq!(thin.figures.verdict.codes, [Code::TooFewGames]);
}
