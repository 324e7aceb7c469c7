//! The flow against the plainest count: every way through the file, played out.

use std::collections::BTreeMap;

use proptest::prelude::*;
use shakmaty::{Chess, Color, Move, Position};

use super::*;
use crate::answers::kit::{ModelCounts, play};
use crate::lines::san_text;
use crate::terms::{BandRange, Key, MoverFilter};

fn file(pgn: &str) -> Prepared {
    Prepared::read(pgn).expect("a file of lines")
}

fn ask(counts: &ModelCounts, pgn: &str, settings: Settings) -> GapsAnswer {
    let question = Question { min_sample: 1, ..Question::default() };
    let Ok(answer) = gaps(counts, &file(pgn), &settings, &question);
    answer
}

fn all(side: Color) -> Settings {
    Settings { met: 0.0, top: usize::MAX, ..Settings::of(side) }
}

/// 100 games after 1. e4: 40 e5, 30 c5, 20 d5, 10 e6, and after them a few more moves.
fn games() -> ModelCounts {
    ModelCounts::new()
        .add(20, [1500, 1500], "1-0", "e4 e5 Nf3 Nc6 Bb5 a6")
        .add(12, [1500, 1500], "0-1", "e4 e5 Nf3 d6 d4 exd4")
        .add(8, [1500, 1500], "1/2", "e4 e5 Bc4 Nf6 d3 c6")
        .add(30, [1500, 1600], "0-1", "e4 c5 Nf3 d6 d4 cxd4")
        .add(20, [1500, 1900], "0-1", "e4 d5 exd5 Qxd5 Nc3 Qa5")
        .add(10, [1500, 1500], "1-0", "e4 e6 d4 d5 Nc3 Nf6")
        .add(50, [1500, 1500], "1-0", "d4 e6 e4 d5 e5 c5")
}

fn met(answer: &GapsAnswer) -> Vec<(String, f64)> {
    let gap = |gap: &Gap| {
        let line = format!("{} {}", gap.line, gap.mv.san);
        (line, gap.met.value.expect("known"))
    };
    answer.gaps.iter().map(gap).collect()
}

#[test]
fn what_is_left_is_told_by_how_often_it_is_met() {
    let answer = ask(&games(), "1. e4 e5 (1... c5 2. Nf3) 2. Nf3 Nc6 3. Bb5 *", all(Color::White));
    let gaps = met(&answer);
    let lines: Vec<&str> = gaps.iter().map(|(line, _)| line.as_str()).collect();
    assert_eq!(lines, ["1. e4 d5", "1. e4 e5 2. Nf3 d6", "1. e4 e6"]);
    let values = [0.2, 0.4 * 12.0 / 32.0, 0.1];
    for ((line, got), want) in gaps.iter().zip(values) {
        assert!((got - want).abs() < 1e-12, "{line}: {got}");
    }
    assert!((answer.answered.value.expect("known") - (0.3 + 0.4 * 20.0 / 32.0)).abs() < 1e-12);
    assert_eq!(answer.unknown.value, Some(0.0));
    let after_two = answer.by_ply[1].left.expect("known");
    assert!((after_two - 0.3).abs() < 1e-12 && answer.by_ply.len() == 4);
    assert_eq!(answer.half_left_by, None);
    let gap = &answer.gaps[0];
    assert_eq!((gap.mv.numbered.as_str(), gap.games, gap.share.n), ("1... d5", 20, 100));
    assert_eq!(gap.score.value, Some(1.0));
    assert_eq!((gap.replies.len(), gap.replies[0].row.san.as_str()), (1, "exd5"));
    assert_eq!((gap.replies[0].best, gap.best()), (None, None));
}

/// After 1. e4 d5 the most played reply scores a half; another one has 20 points more in
/// so many games.
#[test]
fn the_best_reply_is_named_only_beyond_chance() {
    let best = |games: usize| {
        let counts = ModelCounts::new()
            .add(100, [1500, 1500], "1-0", "e4 d5 exd5")
            .add(100, [1500, 1500], "0-1", "e4 d5 exd5")
            .add(games * 7 / 10, [1500, 1500], "1-0", "e4 d5 Nc3")
            .add(games * 3 / 10, [1500, 1500], "0-1", "e4 d5 Nc3");
        let answer = ask(&counts, "1. e4 e5 2. Nf3 *", all(Color::White));
        let replies = answer.gaps[0].replies.iter();
        replies.map(|reply| (reply.row.san.clone(), reply.best)).collect::<Vec<_>>()
    };
    let told = |usual, other| vec![("exd5".to_owned(), usual), ("Nc3".to_owned(), other)];
    assert_eq!(best(10), told(None, None));
    assert_eq!(best(50), told(Some(false), Some(true)));
    // The most played one is never called so: nothing is above itself.
    let counts = ModelCounts::new().add(200, [1500, 1500], "1-0", "e4 d5 exd5").add(
        100,
        [1500, 1500],
        "0-1",
        "e4 d5 Nc3",
    );
    let answer = ask(&counts, "1. e4 e5 2. Nf3 *", all(Color::White));
    assert_eq!(answer.gaps[0].best(), None);
}

/// Behind 1. e4 e6 the file goes on as after 1. d4 e6 2. e4: one position.
#[test]
fn a_move_that_leads_back_into_the_file_is_no_gap() {
    let text = "1. e4 e5 2. Nf3 *\n\n1. d4 e6 2. e4 d5 3. e5 *";
    let own = |own| Settings { own, ..all(Color::White) };
    let answer = ask(&games(), text, own(Own::First));
    // After 1. e4 e6 the file has no move of White's: the position is not in it.
    assert_eq!(met(&answer)[0].0, "1. e4 c5");
    let text = "1. e4 e5 2. d4 (2. Nf3) *\n\n1. d4 e6 2. e4 d5 3. e5 *\n\n1. e4 e5 *";
    let answer = ask(&games(), text, own(Own::Equal));
    let whole: f64 = met(&answer).iter().map(|(_, met)| met).sum();
    assert!((whole + answer.answered.value.expect("known") - 1.0).abs() < 1e-12);
    // Black's 1... e6 after 1. e4 is a gap, but 2... d5 after 1. d4 e6 2. e4 is prepared,
    // in any order.
    let answer = ask(
        &games().add(10, [1500, 1500], "1-0", "e4 d5 d4 e6 e5 c5"),
        "1. d4 e6 2. e4 d5 3. e5 *\n\n1. e4 d5 2. d4 *",
        own(Own::First),
    );
    assert_eq!(answer.unknown.value, Some(0.0));
    // 1. d4 is first; only 1... e6 was ever played.
    assert!((answer.answered.value.expect("known") - 1.0).abs() < 1e-12);
    let counts = games().add(30, [1500, 1500], "1-0", "d4 d5 e4 e6 e5 c5");
    let answer =
        ask(&counts, "1. d4 e6 2. e4 d5 3. e5 *\n\n1. d4 d5 2. e4 dxe4 *", own(Own::First));
    // 2... e6 leads to where 1. d4 e6 2. e4 d5 led.
    assert!((answer.answered.value.expect("known") - 1.0).abs() < 1e-12, "{:?}", met(&answer));
}

#[test]
fn a_position_of_the_file_without_games_is_unknown() {
    let answer = ask(&games(), "1. e4 e5 2. Bb5 c6 3. Ba4 *", all(Color::White));
    assert!((answer.unknown.value.expect("known") - 0.4).abs() < 1e-12);
    assert_eq!(answer.answered.value, Some(0.0));
    let left: f64 = met(&answer).iter().map(|(_, met)| met).sum();
    assert!((left - 0.6).abs() < 1e-12 && (answer.left.value.expect("known") - 0.6).abs() < 1e-12);
    assert_eq!(answer.half_left_by, Some(2));
    // Behind it nothing is called unused, however rare.
    assert_eq!(answer.spare.unused, []);
}

#[test]
fn half_moves_cut_every_line() {
    let cut = |half_moves| Settings { half_moves: Some(half_moves), ..all(Color::White) };
    let text = "1. e4 e5 2. Nf3 Nc6 3. Bb5 *";
    let answered = |plies| ask(&games(), text, cut(plies)).answered.value.expect("known");
    assert!((answered(2) - 0.4).abs() < 1e-12 && (answered(3) - 0.4).abs() < 1e-12);
    assert!((answered(4) - 0.25).abs() < 1e-12);
    assert_eq!(answered(1), 1.0);
}

#[test]
fn of_several_own_moves_the_first_those_of_the_level_or_all() {
    let text = "1. e4 e5 2. Bc4 (2. Nf3 Nc6 3. Bb5) 2... Nf6 *";
    let answered = |own| {
        let answer = ask(&games(), text, Settings { own, ..all(Color::White) });
        (answer.answered.value.expect("known"), answer.spare.never_chosen)
    };
    let (bishop, knight) = (0.4, 0.4 * 20.0 / 32.0);
    let near = |(value, never): (f64, usize), want: f64, moves| {
        assert!((value - want).abs() < 1e-9 && never == moves, "{value} {want} {never}");
    };
    near(answered(Own::First), bishop, 2);
    near(answered(Own::Level), (8.0 * bishop + 32.0 * knight) / 40.0, 0);
    near(answered(Own::Equal), (bishop + knight) / 2.0, 0);
}

#[test]
fn what_hardly_comes_up_could_go() {
    let settings = Settings { unused: 0.3, ..all(Color::White) };
    let text = "1. e4 e5 (1... e6 2. d4 d5 3. Nc3) (1... g6 2. d4) 2. Nf3 Nc6 3. Bb5 *";
    let answer = ask(&games(), text, settings);
    let unused: Vec<_> = answer
        .spare
        .unused
        .iter()
        .map(|line| (line.line.as_str(), line.met.value.expect("known"), line.moves))
        .collect();
    // 40 in 100 games come to 1... e5, 25 to 2... Nc6.
    assert_eq!(unused[0], ("1. e4 e6", 0.1, 2));
    assert_eq!(unused[1], ("1. e4 g6", 0.0, 1));
    assert_eq!((unused[2].0, unused[2].2), ("1. e4 e5 2. Nf3 Nc6", 1));
    assert_eq!(answer.spare.prepared_moves, 6);
    // e4, Nf3, Bb5, d4 and Nc3 are all needed: without the last 10 of 100 games miss it.
    assert_eq!(answer.spare.carry_95, Some(5));
}

#[test]
fn the_filter_is_that_of_the_opponents() {
    let bands = BandRange::new(1900, 2000).expect("on the edges");
    let question = Question {
        min_sample: 1,
        filter: MoverFilter { bands, ..MoverFilter::ALL },
        ..Question::default()
    };
    let Ok(answer) = gaps(&games(), &file("1. e4 e5 2. Nf3 *"), &all(Color::White), &question);
    assert_eq!(met(&answer), [("1. e4 d5".to_owned(), 1.0)]);
}

#[test]
fn a_thin_figure_keeps_its_interval_and_is_still_listed() {
    let text = "1. e4 e5 2. Nf3 Nc6 3. Bb5 *";
    let told = |min_sample| {
        let question = Question { min_sample, ..Question::default() };
        let Ok(answer) = gaps(&games(), &file(text), &all(Color::White), &question);
        answer
    };
    // 1... c5 is one choice of 100 games, 2... d6 goes through one of 32.
    let answer = told(50);
    assert_eq!((answer.gaps[0].met.value, answer.gaps[0].met.n), (Some(0.3), 100));
    let thin = &answer.gaps.iter().find(|gap| gap.mv.san == "d6").expect("a gap").met;
    assert_eq!((thin.value, thin.k, thin.n), (None, Some(12), 32));
    assert!(thin.low < Some(0.15) && thin.high > Some(0.15));
    // The share of what is answered is a quarter, as good as one of some 90 games, though its
    // rarest step is one of 32: what is told beside it is what decides.
    let total = &answer.answered;
    assert_eq!((total.value, total.k), (Some(0.25), None));
    assert!((80..100).contains(&total.n) && total.n_eff == total.n as f64, "{}", total.n);
    for (min_sample, has_value) in [(total.n, true), (total.n + 1, false)] {
        assert_eq!(told(min_sample).answered.value.is_some(), has_value, "{min_sample}");
    }
    let answer = told(200);
    assert_eq!((answer.answered.value, answer.left.value), (None, None));
    assert!(answer.answered.low < Some(0.25) && answer.answered.high > Some(0.25));
}

/// Every way through the file, one after the other: what becomes of its share.
fn enumerate(counts: &ModelCounts, file: &Prepared, side: Color, half_moves: usize) -> Plain {
    let mut plain = Plain::default();
    plain.follow(counts, file, side, half_moves, &Chess::default(), &mut Vec::new(), 1.0);
    plain
}

#[derive(Default)]
struct Plain {
    answered: f64,
    unknown: f64,
    /// By position and move.
    met: BTreeMap<(Key, String), f64>,
}

impl Plain {
    #[expect(clippy::too_many_arguments, reason = "it is its own stack")]
    fn follow(
        &mut self,
        counts: &ModelCounts,
        file: &Prepared,
        side: Color,
        half_moves: usize,
        board: &Chess,
        way: &mut Vec<Move>,
        share: f64,
    ) {
        use crate::counts::Counts;
        let place = file.place(Key::of(board)).expect("it follows the file");
        let moves = &file.positions()[place].moves;
        if moves.is_empty() || way.len() == half_moves {
            self.answered += share;
            return;
        }
        let chosen: Vec<(Move, f64)> = if board.turn() == side {
            vec![(moves[0].mv, share)]
        } else {
            let Ok(found) = counts.position(Key::of(board));
            let found = found.map_or(Vec::new(), |found| found.moves);
            let all: u64 = found.iter().map(|mv| mv.games(MoverFilter::ALL)).sum();
            if all == 0 {
                self.unknown += share;
            }
            let part = |games: u64| share * games as f64 / all as f64;
            let played = found.iter().map(|found| {
                let mv = found.code.to_move(board).expect("it was played");
                (mv, part(found.games(MoverFilter::ALL)))
            });
            played.collect()
        };
        for (mv, share) in chosen {
            let mut after = board.clone();
            after.play_unchecked(mv);
            if file.place(Key::of(&after)).is_none() {
                let gap = (Key::of(board), san_text(board, mv));
                *self.met.entry(gap).or_default() += share;
                continue;
            }
            way.push(mv);
            self.follow(counts, file, side, half_moves, &after, way, share);
            way.pop();
        }
    }
}

/// Moves of a small opening, so that transpositions and repetitions abound: knights and two pawns.
fn line(choices: &[usize]) -> String {
    let wanted = ["Nf3", "Nf6", "Ng1", "Ng8", "Nc3", "Nc6", "Nb1", "Nb8", "e4", "e5", "d4", "d5"];
    let (mut board, mut words) = (Chess::default(), Vec::new());
    for choice in choices {
        let legal = board.legal_moves();
        let open: Vec<Move> = legal
            .into_iter()
            .filter(|mv| wanted.contains(&san_text(&board, *mv).trim_end_matches('+')))
            .collect();
        let Some(&mv) = open.get(choice % open.len().max(1)) else { break };
        words.push(san_text(&board, mv));
        board.play_unchecked(mv);
    }
    words.join(" ")
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, failure_persistence: None, ..ProptestConfig::default() })]
    #[test]
    fn the_flow_is_the_sum_over_all_ways(
        games in prop::collection::vec(prop::collection::vec(0usize..12, 1..9), 1..40),
        lines in prop::collection::vec(prop::collection::vec(0usize..12, 1..8), 1..8),
        white in any::<bool>(),
    ) {
        let side = if white { Color::White } else { Color::Black };
        let mut counts = ModelCounts::new();
        for game in &games {
            counts = counts.add(1, [1500, 1500], "1-0", &line(game));
        }
        let pgn: String = lines.iter().map(|choices| line(choices) + " *\n\n").collect();
        let prepared = file(&pgn);
        let settings = Settings { half_moves: Some(8), ..all(side) };
        let answer = ask(&counts, &pgn, settings);
        let plain = enumerate(&counts, &prepared, side, 8);
        let near = |a: f64, b: f64| (a - b).abs() < 1e-9;
        if answer.unknown.value.is_none() {
            // No opponent chose anything that is known.
            prop_assert!(near(plain.unknown, 1.0) && plain.met.is_empty());
            return Ok(());
        }
        let value = |rate: &crate::answers::Figure| rate.value.expect("known");
        if play(&line(&games[0])).0.is_empty() { return Ok(()); }
        prop_assert!(near(value(&answer.answered), plain.answered), "{:?}", answer.answered);
        prop_assert!(near(value(&answer.unknown), plain.unknown), "{:?}", answer.unknown);
        prop_assert_eq!(answer.gaps.len(), plain.met.len());
        for gap in &answer.gaps {
            let (_, board) = play(&gap.line.split_whitespace()
                .filter(|word| !word.ends_with('.')).collect::<Vec<_>>().join(" "));
            let want = plain.met[&(Key::of(&board), gap.mv.san.clone())];
            prop_assert!(near(value(&gap.met), want), "{gap:?} {want}");
            prop_assert!(gap.met.low <= gap.met.value && gap.met.value <= gap.met.high);
        }
        let left: f64 = plain.met.values().sum();
        prop_assert!(near(left + plain.answered + plain.unknown, 1.0));
        let last = answer.by_ply.last().map_or(0.0, |row| row.left.zip(row.unknown).map_or(f64::NAN, |(left, unknown)| left + unknown));
        prop_assert!(near(last, left + plain.unknown));
        prop_assert!(near(value(&answer.left), left));
    }
}
