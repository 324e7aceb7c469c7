//! The hunt as a whole, and its flow against plain enumeration.

use crate::answers::Baseline;
use std::collections::BTreeMap;
use std::convert::Infallible;

use proptest::prelude::*;
use shakmaty::{Chess, Color, Position};

use super::arrivals::log_normal;
use super::flow::Flow;
use super::reach::{Hits, log_variance, visits};
use super::walk::{PositionId, Walk};
use super::*;
use crate::answers::kit::{ModelCounts, play};
use crate::answers::stats::wilson;
use crate::counts::CellGroups;
use crate::lines::{Line, Prepared};
use crate::terms::{Band, BandRange, CellId, Group, Key, MoveCode, MoverFilter, Pace};

const EVEN: [u16; 2] = [1500, 1500];

fn line(text: &str) -> Line {
    text.parse().expect("a line")
}

fn walked(counts: &ModelCounts, wanted: &Hunt) -> Walk {
    let Ok(walk) =
        Walk::of(counts, wanted, MoverFilter::ALL, &mut |_| {}, |_, _, _| (), |_, ()| {});
    walk
}

/// Everything is looked at.
fn all(setter: Color) -> Hunt {
    Hunt { reached: 1, ..Hunt::new(setter, Line::default()) }
}

/// Chances of the moves of a counted position, from the counts and the repertoire.
fn chances(counts: &ModelCounts, wanted: &Hunt, position: &Chess) -> Vec<(MoveCode, f64)> {
    let Ok(Some(found)) = counts.position(Key::of(position)) else { return Vec::new() };
    let fixed = wanted.repertoire.as_ref().and_then(|repertoire| repertoire.at(Key::of(position)));
    let fixed = fixed.filter(|_| position.turn() == wanted.setter);
    let played: Vec<MoveCode> = found.moves.iter().map(|mv| mv.code).collect();
    let games = |code: &MoveCode| {
        let mv = found.moves.iter().find(|mv| mv.code == *code);
        mv.map_or(0.0, |mv| mv.sum(MoverFilter::ALL).games as f64)
    };
    let codes = fixed.map_or(played, <[MoveCode]>::to_vec);
    let sum: f64 = codes.iter().map(games).sum();
    let even = 1.0 / codes.len() as f64;
    let chance = |code: &MoveCode| if sum > 0.0 { games(code) / sum } else { even };
    codes.iter().map(|code| (*code, chance(code))).collect()
}

/// The chance of every position to be visited, by enumerating all paths of at most `plies`
/// half-moves; a path counts for each position that it visits, once.
fn enumerated(counts: &ModelCounts, wanted: &Hunt, plies: u16) -> BTreeMap<Key, f64> {
    fn go(
        counts: &ModelCounts,
        wanted: &Hunt,
        (position, path): (&Chess, &mut Vec<Key>),
        (chance, plies): (f64, u16),
        sums: &mut BTreeMap<Key, f64>,
    ) {
        let key = Key::of(position);
        if !path.contains(&key) {
            *sums.entry(key).or_default() += chance;
        }
        path.push(key);
        let moves = if plies > 0 { chances(counts, wanted, position) } else { Vec::new() };
        for (code, share) in moves {
            let mut next = position.clone();
            next.play_unchecked(code.to_move(position).expect("legal"));
            go(counts, wanted, (&next, &mut *path), (chance * share, plies - 1), sums);
        }
        path.pop();
    }
    let mut sums = BTreeMap::new();
    go(counts, wanted, (&Chess::default(), &mut Vec::new()), (1.0, plies), &mut sums);
    sums
}

fn repertoire(pgn: &str) -> Repertoire {
    Repertoire::of(Color::White, &Prepared::read(pgn).expect("prepared lines"))
}

/// Knights that go out and come back: transpositions and returns in a few half-moves.
fn wandering(choices: &[Vec<u8>]) -> ModelCounts {
    let mut counts = ModelCounts::counting(8);
    for game in choices {
        let (mut position, mut moves) = (Chess::default(), Vec::new());
        for choice in game {
            let knights: Vec<_> = position
                .legal_moves()
                .into_iter()
                .filter(|mv| mv.role() == shakmaty::Role::Knight)
                .filter(|mv| {
                    ["f3", "c3", "f6", "c6", "g1", "b1", "g8", "b8"]
                        .contains(&mv.to().to_string().as_str())
                })
                .collect();
            let mv = knights[usize::from(*choice) % knights.len()];
            moves.push(crate::lines::san_text(&position, mv));
            position.play_unchecked(mv);
        }
        counts.game(EVEN, crate::terms::Pace::Blitz, "1/2", &moves.join(" "));
    }
    counts
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, ..ProptestConfig::default() })]

    #[test]
    fn the_flow_of_first_visits_equals_plain_enumeration(
        games in prop::collection::vec(prop::collection::vec(0u8..6, 8), 1..12), fixed in any::<bool>(),
    ) {
        let counts = wandering(&games);
        let mut wanted = all(Color::White);
        wanted.repertoire = fixed.then(|| repertoire("Nf3 Nf6 (Nc6 Ng1) Nc3"));
        let walk = walked(&counts, &wanted);
        let flow = Flow::of(&walk, &wanted);
        let want = enumerated(&counts, &wanted, 7);
        let mut hits = Hits::for_positions(walk.positions.len());
        for id in walk.ids() {
            hits.find(&flow, id);
            let wanted = want.get(&walk.at(id).key).copied().unwrap_or(0.0);
            prop_assert!((hits.from(PositionId::START) - wanted).abs() < 1e-12, "{wanted}");
        }
    }
}

/// No position of these games is reached by two orders: a flow is then nothing but the
/// share of games.
#[test]
fn without_transpositions_the_flow_is_the_share_of_games() {
    let counts = ModelCounts::new()
        .add(30, EVEN, "1-0", "e4 e5 Nf3 Nc6 Bc4")
        .add(10, EVEN, "1-0", "e4 c5 Nf3 d6")
        .add(60, EVEN, "0-1", "d4 d5 c4 e6");
    let walk = walked(&counts, &all(Color::White));
    let flow = Flow::of(&walk, &all(Color::White));
    let visits = visits(&flow, walk.positions.len());
    let mut hits = Hits::for_positions(walk.positions.len());
    for id in walk.ids() {
        hits.find(&flow, id);
        let Ok(found) = counts.position(walk.at(id).key);
        let share = found.expect("walked").games() as f64 / 100.0;
        assert!((hits.from(PositionId::START) - share).abs() < 1e-12);
        assert!((visits[id.index()] - share).abs() < 1e-12);
    }
}

/// One choice of 40 in 100: by the delta method the logarithm has variance (1 - 0.4) / 40, times
/// the design effect. The multiplier is SciPy 1.17.1, `scipy.stats.t.ppf(0.975, 31)`.
#[test]
fn the_interval_of_a_single_choice_is_that_of_its_share() {
    let counts = ModelCounts::new().add(40, EVEN, "1-0", "e4 e5 Nf3").add(60, EVEN, "0-1", "d4 d5");
    let walk = walked(&counts, &all(Color::Black));
    let flow = Flow::of(&walk, &all(Color::Black));
    let target = walk.ids().find(|&id| walk.at(id).key == Key::of(&play("e4").1)).expect("met");
    let mut hits = Hits::for_positions(walk.positions.len());
    hits.find(&flow, target);
    let visits = visits(&flow, walk.positions.len());
    let Ok(variance) = log_variance(&flow, &hits, target, &visits, |_| Ok::<_, Infallible>(2.0));
    let got = log_normal(hits.from(PositionId::START), variance);
    let half = 2.0395134463964077 * (2.0 * 0.6f64 / 40.0).sqrt();
    assert!(
        (got.high - 0.4 * half.exp()).abs() < 1e-9 && (got.low - 0.4 * (-half).exp()).abs() < 1e-9
    );
}

/// After 1. e4 e5 2. Nf3 Black may fall for f6 (loses nearly always to Nxe5), else it is even.
fn one_trap() -> ModelCounts {
    let quiet = "e4 e5 Nf3 Nc6 Bb5 a6";
    let other = "e4 e5 Nf3 d6 d4 exd4";
    let fall = "e4 e5 Nf3 f6 Nxe5 Qe7";
    let missed = "e4 e5 Nf3 f6 Bc4 Nc6";
    ModelCounts::new()
        .add(250, EVEN, "1-0", quiet)
        .add(250, EVEN, "0-1", quiet)
        .add(150, EVEN, "1-0", other)
        .add(150, EVEN, "0-1", other)
        .add(190, EVEN, "1-0", fall)
        .add(10, EVEN, "0-1", fall)
        .add(60, EVEN, "1-0", missed)
        .add(60, EVEN, "0-1", missed)
        .add(400, EVEN, "1-0", "d4 d5 c4 e6")
        .add(400, EVEN, "0-1", "d4 d5 c4 e6")
        .add(80, EVEN, "0-1", "d4 f5 c4 e6")
}

fn hunted(counts: &ModelCounts, wanted: &Hunt) -> HuntAnswer {
    let Ok(answer) = hunt(counts, wanted, &Question::default(), |_| {});
    answer
}

#[test]
fn a_trap_is_told_where_the_fall_happens_and_nowhere_else() {
    let answer = hunted(&one_trap(), &Hunt::new(Color::White, Line::default()));
    let told: Vec<_> = answer.found.iter().map(|found| found.trap.line.as_str()).collect();
    assert_eq!(told, ["1. e4 e5 2. Nf3 f6?? 3. Nxe5"]);
    let found = &answer.found[0];
    assert!(found.q <= 0.05 && found.p < found.q && found.reach.kind == ReachKind::Occurrence);
    assert_eq!(found.trap.name, "2... f6");
}

/// The same games, played by players of 16 groups only.
fn by_few_players(mut counts: ModelCounts) -> ModelCounts {
    for position in counts.positions.values_mut() {
        let mut few = CellGroups::default();
        for (code, id, group, games) in position.groups.rows() {
            few.add(code, id, Group::from_index(group.index() % 16).expect("a group"), games);
        }
        position.groups = few;
    }
    counts
}

/// Black scores 400 of 800 with the other moves and 70 of 320 with f6. One drop is shown of 5
/// tested: 99 %, for which Student's quantile is 2.7440 (SciPy 1.17.1,
/// `scipy.stats.t.ppf(0.995, 31)`); without draws Tango's limits are Wilson's.
#[test]
fn the_interval_of_a_shown_drop_allows_for_the_selection() {
    let answer = hunted(&one_trap(), &Hunt::new(Color::White, Line::default()));
    assert!((answer.interval_level.expect("found") - 0.99).abs() < 1e-12);
    let limits = |k, n| wilson(k, n, 2.7440).expect("games");
    let (held, lost) = (limits(400, 800), limits(70, 320));
    let down = (0.5 - held.low).hypot(lost.high - 70.0 / 320.0);
    let up = (held.high - 0.5).hypot(70.0 / 320.0 - lost.low);
    let drop = &answer.found[0].drop;
    for (got, want) in [(drop.value, 0.0), (drop.low, -down), (drop.high, up)] {
        let want = 0.5 - 70.0 / 320.0 + want;
        assert!((got.expect("known") - want).abs() < 1e-5, "{got:?} {want}");
    }
}

/// 1,120 games in 16 of 32 groups: m = 1120 (1/16 - 1/32) / (31/32) = 36.13, and the strength is
/// 1 + 0.05 (m - 1) = 2.7565. Of White's answers to f6 200 games score 0.95, 120 score 0.5, so
/// S_b = 15.1875 and S_w = 39.5: (15.1875 - 39.5/318) / 54.6875 = 0.27544 of the variance lies
/// between them. They have D = 1 + 0.35 (10.32 - 1) = 4.263, a standard error higher
/// 1 + 3.263 (1 + sqrt(2/31)) = 5.092, so D = 2.7565 + 0.27544 (5.092 - 2.7565) = 3.400.
#[test]
fn players_who_come_again_weaken_a_finding() {
    let hunt = Hunt::new(Color::White, Line::default());
    let (many, few) = (hunted(&one_trap(), &hunt), hunted(&by_few_players(one_trap()), &hunt));
    let (of_many, of_few) = (&many.found[0], &few.found[0]);
    assert_eq!((of_many.drop.n, of_many.drop.n_eff, of_few.drop.n), (320, 320.0, 320));
    assert!((of_few.drop.n_eff - 320.0 / 3.400).abs() < 0.1, "{}", of_few.drop.n_eff);
    assert!(of_few.p > of_many.p && of_few.drop.low < of_many.drop.low);
    assert!(few.detectable > many.detectable && few.tests == many.tests);
}

/// What is hidden must not change what is tested, nor any q.
#[test]
fn the_minimum_sample_changes_no_value_that_it_does_not_hide() {
    let hunted = |min_sample| {
        let question = Question { min_sample, ..Question::default() };
        let Ok(answer) =
            hunt(&one_trap(), &Hunt::new(Color::White, Line::default()), &question, |_| {});
        answer
    };
    let (usual, high) = (hunted(50), hunted(400));
    let told = |answer: &HuntAnswer| (answer.tests, answer.significant, answer.found[0].q);
    assert_eq!(told(&usual), told(&high));
    assert_eq!((high.found[0].drop.value, usual.found[0].drop.n), (None, 320));
}

#[test]
fn the_family_is_chosen_by_counts_alone() {
    let answer = hunted(&one_trap(), &Hunt::new(Color::White, Line::default()));
    // After e4 there is one move, after d4 two (d5 800, f5 80), after Nf3 three; elsewhere one.
    assert_eq!(answer.tests, 5);
    let rare = Hunt { min_share: 0.10, ..Hunt::new(Color::White, Line::default()) };
    assert_eq!(hunted(&one_trap(), &rare).tests, 4);
    let deep = Hunt { reached: 1500, ..Hunt::new(Color::White, Line::default()) };
    assert_eq!(hunted(&one_trap(), &deep).tests, 0);
}

#[test]
fn a_line_looks_only_behind_itself() {
    let behind = hunted(&one_trap(), &Hunt::new(Color::White, line("e4 e5")));
    assert_eq!(behind.found[0].trap.line, "1. e4 e5 2. Nf3 f6?? 3. Nxe5");
    assert_eq!(behind.tests, 3);
    assert!(hunted(&one_trap(), &Hunt::new(Color::White, line("d4"))).found.is_empty());
}

#[test]
fn a_repertoire_makes_reach_a_flow_and_hides_what_it_does_not_reach() {
    let with = |moves: &str| {
        let repertoire = Some(repertoire(moves));
        let wanted = Hunt { repertoire, ..Hunt::new(Color::White, Line::default()) };
        hunted(&one_trap(), &wanted)
    };
    let found = with("e4").found.swap_remove(0);
    let rate = &found.reach.rate;
    // All 1,120 games after e4 go on with e5 and Nf3.
    assert_eq!((found.reach.kind, rate.value), (ReachKind::Repertoire, Some(1.0)));
    assert_eq!((rate.k, rate.n), (None, 1120));
    let away = with("d4");
    assert_eq!((away.found.len(), away.hidden_by.not_reached), (0, 1));
}

#[test]
fn several_slips_in_one_position_are_one_entry_with_branches() {
    let second = "e4 e5 Nf3 Qf6 Nc3 c6";
    let counts = one_trap().add(150, EVEN, "1-0", second).add(20, EVEN, "0-1", second);
    let answer = hunted(&counts, &Hunt::new(Color::White, Line::default()));
    assert_eq!(answer.found.len(), 1);
    let found = &answer.found[0];
    assert_eq!((found.trap.slip.as_str(), found.branches[0].slip.as_str()), ("f6", "Qf6"));
    assert_eq!(found.branches[0].refutation, "Nc3");
}

/// The finding with more net is no trap to lay once evaluations say that the setter is worse off
/// without the slip.
#[test]
fn what_is_no_trap_to_lay_comes_last() {
    let (quiet, second) = ("e4 c5 Nf3 d6 d4 cxd4", "e4 c5 Nf3 g5 d4 d6");
    let counts = || {
        let even = one_trap().add(200, EVEN, "1-0", quiet).add(200, EVEN, "0-1", quiet);
        even.add(150, EVEN, "1-0", second).add(20, EVEN, "0-1", second)
    };
    let told = |counts: &ModelCounts| -> Vec<(String, bool)> {
        let answer = hunted(counts, &Hunt::new(Color::White, Line::default()));
        answer.found.iter().map(|found| (found.trap.slip.clone(), found.to_lay)).collect()
    };
    let found = told(&counts());
    assert_eq!(found.len(), 2);
    assert!(found.iter().all(|(_, to_lay)| *to_lay), "{found:?}");
    let way = if found[0].0 == "f6" { "e4 e5 Nf3 Nc6" } else { "e4 c5 Nf3 d6" };
    let mut worse = counts();
    let (moves, before) = (play(way).0, play(way.rsplit_once(' ').expect("moves").0).1);
    let id = CellId::new(Band::from_index(15).expect("a band"), Pace::Blitz);
    let cell = worse.cell(&before, moves[3], id);
    (0..5).for_each(|_| cell.add_eval(100));
    let turned = vec![(found[1].0.clone(), true), (found[0].0.clone(), false)];
    assert_eq!(told(&worse), turned);
}

/// The same position by 2. Nf3 Nc6 3. Bc4 and by 2. Bc4 Nc6 3. Nf3, with one slip after it.
#[test]
fn the_same_position_by_another_order_is_told_once() {
    let mut counts = ModelCounts::new();
    for order in ["e4 e5 Nf3 Nc6 Bc4", "e4 e5 Bc4 Nc6 Nf3"] {
        counts = counts
            .add(130, EVEN, "1-0", &format!("{order} Nf6 d3"))
            .add(130, EVEN, "0-1", &format!("{order} Nf6 d3"))
            .add(95, EVEN, "1-0", &format!("{order} f6 O-O"))
            .add(5, EVEN, "0-1", &format!("{order} f6 O-O"));
    }
    let answer = hunted(&counts, &Hunt::new(Color::White, Line::default()));
    assert_eq!(answer.found.len(), 1);
    assert_eq!(answer.found[0].trap.figures.games, 720);
}

#[test]
fn four_equal_replies_invent_no_refutation() {
    // All replies win half their games in all; by band one looks good here, another there.
    let mut counts = one_trap();
    for (ratings, good) in
        [([1150, 1500], 0), ([1350, 1500], 1), ([1550, 1500], 2), ([1750, 1500], 3)]
    {
        for (place, reply) in ["Nc3", "d3", "Be2", "c3"].into_iter().enumerate() {
            let line = format!("e4 e5 Nf3 h6 {reply}");
            let wins = if place == good { 20 } else { 5 };
            counts = counts.add(wins, ratings, "1-0", &line).add(25 - wins, ratings, "0-1", &line);
        }
    }
    let Ok(after) = counts.position(Key::of(&play("e4 e5 Nf3 h6").1));
    let after = after.expect("counted");
    let got = refutation::refutation(
        &after,
        MoverFilter::ALL,
        Color::White,
        &Baseline::of(counts.totals()),
    );
    assert!(got.is_none_or(|got| slip::edge(&got.scored) < 0.05));
}

#[test]
fn an_empty_hunt_says_how_little_it_could_have_seen() {
    let few = ModelCounts::new().add(20, EVEN, "1-0", "e4 e5").add(20, EVEN, "0-1", "e4 c5");
    let answer = hunted(&few, &Hunt::new(Color::White, Line::default()));
    assert!(answer.found.is_empty() && answer.tests == 0 && answer.is_too_small());
    assert_eq!((answer.detectable, answer.significant), (None, 0));
}

#[test]
fn evaluations_that_say_otherwise_flag_the_finding() {
    use crate::counts::{Cell, MoveCounts};
    let [slip, other] = [play("e4").0[0], play("d4").0[0]].map(MoveCode::of);
    // Whoever played them: some in a weak band, some in a strong one.
    let told = |code, games: u64, cp: i64| {
        let cell = |games, cp| Cell { games: 1, eval_games: games, eval_cp: cp, ..Cell::default() };
        let id = |band| CellId::new(Band::from_index(band).expect("a band"), Pace::Blitz);
        MoveCounts { code, cells: vec![(id(5), cell(games - 1, cp)), (id(20), cell(1, 0))] }
    };
    let of = |slips: (u64, i64), others: (u64, i64), mates| {
        let moves = [told(slip, slips.0, slips.1), told(other, others.0, others.1)];
        Evaluations::of(moves.iter(), slip, mates).verdict
    };
    assert_eq!(of((5, -1000), (5, 50), false), Verdict::Agree);
    assert_eq!(of((5, 0), (5, 50), false), Verdict::Contradict);
    assert_eq!(of((4, 0), (5, 50), false), Verdict::TooFew);
    assert_eq!([of((4, 0), (5, 50), true), of((5, 0), (5, 0), true)], [Verdict::Mate; 2]);
}

/// What evaluations say of a position does not depend on whose games are asked about, and `trap`
/// goes by the same ones.
#[test]
fn a_hunt_goes_by_the_evaluations_of_all_ratings_as_trap_does() {
    let mut counts = one_trap();
    let way = "e4 e5 Nf3";
    for (reply, cp) in [("f6", -300), ("Nc6", 0)] {
        let moves = play(&format!("{way} {reply}")).0;
        let id = CellId::new(Band::from_index(25).expect("a band"), Pace::Blitz);
        let cell = counts.cell(&play(way).1, moves[3], id);
        (0..10).for_each(|_| cell.add_eval(cp));
    }
    let below = BandRange { from: 0, below: 2000 };
    let question = Question::default().about(MoverFilter { bands: below, ..MoverFilter::ALL });
    let wanted = Hunt::new(Color::White, Line::default());
    let Ok(answer) = hunt(&counts, &wanted, &question, |_| {});
    let found = &answer.found[0];
    assert_eq!((found.evaluations.verdict, found.evaluations.slip_games), (Verdict::Agree, 10));
    assert_eq!(found.trap.soundness.slip_loses.map(|grounds| grounds.cp), Some(300.0));
}
