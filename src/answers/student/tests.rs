//! On counts by hand.

use shakmaty::Color;

use super::*;
use crate::answers::kit::{ModelCounts, play, trap};
use crate::lines::{OwnGame, OwnPly, Prepared, StudentGames, Trap};
use crate::terms::{Band, BandRange, CellId, Key, MoveCode, Outcome, Pace, Rating};

/// A won game.
fn game(colour: Color, line: &str, rating: u16) -> OwnGame {
    let moves = play(line).0;
    let mut board = shakmaty::Chess::default();
    let mut seen = Vec::new();
    let plies = moves.into_iter().map(|mv| {
        let key = Key::of(&board);
        let first_visit = !seen.contains(&key);
        seen.push(key);
        shakmaty::Position::play_unchecked(&mut board, mv);
        OwnPly { key, code: MoveCode::of(mv), first_visit }
    });
    let plies = plies.collect();
    let end = Key::of(&board);
    let (event, date) = ("Club".to_owned(), None);
    OwnGame {
        colour,
        outcome: Outcome::Win,
        rating: Rating::new(rating),
        number: 1,
        site: String::new(),
        event,
        date,
        plies,
        end,
    }
}

fn games(taken: &[OwnGame]) -> StudentGames {
    let read = taken.len() as u64;
    StudentGames { name: "Fern".into(), read, taken: taken.to_vec(), ..StudentGames::default() }
}

fn ask(
    counts: &ModelCounts,
    taken: &[OwnGame],
    times: u64,
    traps: &[Trap],
    lines: Option<(&str, Color)>,
) -> StudentAnswer {
    let settings = Settings { times, ..Settings::of(30) };
    let file = lines.map(|(text, side)| (Prepared::read(text).expect("lines"), side));
    let prepared = file.as_ref().map(|(file, side)| (file, *side));
    let traps_from = TrapSource::File;
    let asked = Asked { settings: &settings, given_level: true, traps, traps_from, prepared };
    let Ok(answer) = student(counts, &games(taken), &asked, &Question::default());
    answer
}

/// 2... f6 scores 0.1 for Black, 2... Nc6 0.5, 2... d6 0.8 in fewer games than are tested.
fn counts() -> ModelCounts {
    ModelCounts::new()
        .add(60, [1500, 1500], "1-0", "e4 e5 Nf3 Nc6 Bb5")
        .add(60, [1500, 1500], "0-1", "e4 e5 Nf3 Nc6 Bb5")
        .add(90, [1500, 1500], "1-0", "e4 e5 Nf3 f6 Nxe5")
        .add(10, [1500, 1500], "0-1", "e4 e5 Nf3 f6 Nxe5")
        .add(9, [1500, 1500], "1-0", "e4 e5 Nf3 d6 d4")
        .add(36, [1500, 1500], "0-1", "e4 e5 Nf3 d6 d4")
}

#[test]
fn the_level_is_two_bands_around_the_median() {
    let level = |ratings: &[u16]| {
        let games: Vec<OwnGame> =
            ratings.iter().map(|&rating| game(Color::White, "e4", rating)).collect();
        level_of(&games).map(|bands| (bands.from, bands.below))
    };
    assert_eq!(level(&[1549]), Some((1400, 1600)));
    assert_eq!(level(&[1550]), Some((1500, 1700)));
    assert_eq!(level(&[1000, 1449, 1651]), Some((1300, 1500)));
    // The mean of 1449 and 1650 is 1549.5.
    assert_eq!(level(&[1449, 1650]), Some((1400, 1600)));
    assert_eq!((level(&[20]), level(&[3999])), (Some((0, 200)), Some((3800, 4000))));
    assert_eq!(level(&[0]), None);
    assert_eq!(level_of(&[]), None);
}

#[test]
fn a_move_with_too_few_games_is_held_against_none() {
    let own = vec![game(Color::Black, "e4 e5 Nf3 f6 Nxe5", 1500); 3];
    let answer = ask(&counts(), &own, 3, &[], None);
    let [habit] = &answer.habits[..] else { panic!("one habit: {:?}", answer.habits) };
    assert_eq!((habit.mv.san.as_str(), habit.better.mv.san.as_str()), ("f6", "Nc6"));
    assert_eq!((answer.positions.tests, answer.positions.judged), (1, 1));
    assert!((habit.cost_per_100_games.value.expect("known") - 40.0).abs() < 1e-9);
    // The other two positions of these games: behind 1. e4 there is one move, and it is
    // the student's.
    let judged: Vec<Judged> = answer.had.iter().map(|had| had.judged).collect();
    assert_eq!(judged.iter().filter(|judged| **judged == Judged::TooFewGames).count(), 1);
}

/// So many evaluations behind the last move of a line, from its player's view.
fn with_evals(mut counts: ModelCounts, line: &str, evals: usize, cp: i16) -> ModelCounts {
    let (moves, _) = play(line);
    let mut before = shakmaty::Chess::default();
    let (last, way) = moves.split_last().expect("a move");
    way.iter().for_each(|mv| shakmaty::Position::play_unchecked(&mut before, *mv));
    let id = CellId::new(Band::from_index(15).expect("a band"), Pace::Blitz);
    let cell = counts.cell(&before, *last, id);
    (0..evals).for_each(|_| cell.add_eval(cp));
    counts
}

#[test]
fn a_move_that_lays_an_unsound_trap_or_leaves_its_player_worse_is_not_advised() {
    let own = vec![game(Color::Black, "e4 e5 Nf3 f6 Nxe5", 1500); 3];
    let told = |counts: ModelCounts, traps: &[Trap]| {
        let answer = ask(&counts, &own, 3, traps, None);
        let positions = &answer.positions;
        assert_eq!((positions.tests, positions.significant, positions.judged), (1, 1, 1));
        let better = answer.habits.first().map(|habit| habit.better.mv.san.clone());
        (better, positions.not_advised)
    };
    let nc6 = || (Some("Nc6".to_owned()), 0);
    assert_eq!(told(counts(), &[]), nc6());
    // The bait of a trap that nothing says is sound; the same position after other moves is
    // the same trap.
    let plain = trap("e4 e5 Nf3 Nc6 Bb5 Nd4", 4);
    let turned = trap("Nf3 Nc6 e4 e5 Bb5 Nd4", 4);
    for bait in [plain, turned] {
        assert_eq!(told(counts(), std::slice::from_ref(&bait)), (None, 1));
        let sound = with_evals(counts(), "e4 e5 Nf3 Nc6 Bb5", 5, -200);
        assert_eq!(told(with_evals(sound, "e4 e5 Nf3 Nc6 d4", 5, 0), &[bait]), nc6());
    }
    // A move on the way is barred if a quarter of the games with it come to such a trap.
    let deeper = [trap("e4 e5 Nf3 Nc6 Bb5 a6 Bxa6 bxa6", 6)];
    let on_the_way = |games| counts().add(games, [1500, 1500], "1/2", "e4 e5 Nf3 Nc6 Bb5 a6 Ba4");
    assert_eq!(told(on_the_way(40), &deeper), (None, 1));
    assert_eq!([told(on_the_way(39), &deeper), told(counts(), &deeper)], [nc6(), nc6()]);
    let evaluated = |evals, cp, usual| {
        let counts = with_evals(counts(), "e4 e5 Nf3 Nc6", evals, cp);
        told(with_evals(counts, "e4 e5 Nf3 f6", 5, usual), &[])
    };
    assert_eq!(evaluated(5, -51, -50), (None, 1));
    assert_eq!([evaluated(5, -50, -50), evaluated(4, -900, -50)], [nc6(), nc6()]);
    // Who stands worse whatever is played is told the better move all the same.
    assert_eq!(evaluated(5, -60, -60), nc6());
}

#[test]
fn what_is_mated_by_force_has_lost_the_game() {
    let mate = "e4 e5 Bc4 Nc6 Qh5 Nf6 Qxf7#";
    let counts = ModelCounts::new()
        .add(10, [1500, 1500], "1-0", mate)
        .add(60, [1500, 1500], "1-0", "e4 e5 Bc4 Nc6 Qh5 g6")
        .add(60, [1500, 1500], "0-1", "e4 e5 Bc4 Nc6 Qh5 g6")
        .add(90, [1500, 1500], "1-0", "e4 e5 Nf3 f6 Nxe5")
        .add(60, [1500, 1500], "0-1", "e4 e5 Nf3 f6 Bc4");
    let own = [
        vec![game(Color::Black, mate, 1500); 4],
        vec![game(Color::Black, "e4 e5 Nf3 f6 Nxe5", 1500); 1],
    ]
    .concat();
    let traps = [trap("e4 e5 Nf3 f6 Nxe5", 3), trap(mate, 5)];
    let answer = ask(&counts, &own, 3, &traps, None);
    // Mated in 4 games of 5; half a point is what the others score.
    let cost = &answer.traps[2].cost_per_100_games;
    assert!((cost.value.expect("known") - 40.0).abs() < 1e-9, "{cost:?}");
    assert_eq!(answer.first[0], Learn { kind: Kind::Fell, place: 2 });
    // Where nobody else came, what is lost is what such players score in all their games.
    let alone =
        ModelCounts::new().add(10, [1500, 1500], "1-0", mate).add(90, [1500, 1500], "0-1", "d4 d5");
    let cost = &ask(&alone, &own, 3, &traps, None).traps[2].cost_per_100_games;
    assert!((cost.value.expect("known") - 72.0).abs() < 1e-9, "{cost:?}");
}

#[test]
fn the_usual_move_is_the_most_played_and_of_equals_the_first_by_text() {
    let own =
        |moves: [&str; 4]| moves.map(|mv| game(Color::Black, &format!("e4 e5 Nf3 {mv}"), 1500));
    let usual = |moves| {
        let answer = ask(&counts(), &own(moves), 4, &[], None);
        let had =
            answer.had.iter().find(|had| had.fen.contains("5N2")).cloned().expect("it was had");
        (had.mv.san, had.played, had.judged)
    };
    assert_eq!(usual(["f6", "Nc6", "f6", "d6"]), ("f6".into(), 2, Judged::Costly));
    // Text of UCI: b8c6, d7d6, f7f6.
    assert_eq!(usual(["f6", "Nc6", "f6", "Nc6"]), ("Nc6".into(), 2, Judged::InOrder));
    assert_eq!(usual(["f6", "Nc6", "a6", "d6"]).2, Judged::NoHabit);
}

#[test]
fn a_position_is_had_once_a_game_and_in_any_order_of_moves() {
    let own = [
        game(Color::White, "Nf3 Nf6 Ng1 Ng8 Nf3", 1500),
        game(Color::White, "d4 d5 c4 e6 Nc3", 1500),
        game(Color::White, "c4 e6 d4 d5 Nc3", 1500),
    ];
    let answer = ask(&counts(), &own, 1, &[], None);
    let times =
        |fen: &str| answer.had.iter().find(|had| had.fen.starts_with(fen)).map(|had| had.times);
    assert_eq!(times("rnbqkbnr/pppppppp/8/8/8/8/PPPPPPPP/RNBQKBNR w"), Some(3));
    assert_eq!(times("rnbqkbnr/ppp2ppp/4p3/3p4/2PP4/8/PP2PPPP/RNBQKBNR w"), Some(2));
}

#[test]
fn of_a_trap_the_reply_that_never_came_is_neither_found_nor_missed() {
    let own = [
        game(Color::White, "e4 e5 Nf3 f6", 1500),
        game(Color::White, "e4 e5 Nf3 f6 Nxe5", 1500),
        game(Color::White, "e4 e5 Nf3 f6 Bc4", 1500),
        game(Color::Black, "e4 e5 Nf3 d6", 1500),
    ];
    let answer = ask(&counts(), &own, 3, &[trap("e4 e5 Nf3 f6 Nxe5", 3)], None);
    let told = |row: &TrapRow| (row.times, row.slipped, row.escaped, row.refuted, row.missed);
    let rows: Vec<_> = answer.traps.iter().map(|row| (row.role, told(row))).collect();
    assert_eq!(rows, [(Role::Faced, (1, 0, 1, 0, 0)), (Role::Laid, (3, 3, 0, 1, 1))]);
    // The level escapes with 2... Nc6 more often than with 2... d6.
    let instead: Vec<&str> = answer.traps[0].instead.iter().map(|mv| mv.san.as_str()).collect();
    assert_eq!(instead, ["Nc6", "d6"]);
    assert_eq!(answer.traps[0].better.as_deref(), Some("Nc6"));
    assert_eq!(answer.traps[1].better, None);
}

#[test]
fn a_move_that_leads_back_into_the_lines_leaves_nothing() {
    let lines = "1. d4 d5 2. c4 e6 3. Nc3 *\n\n1. c4 e6 2. d4 d5 3. Nc3 *\n\n1. d4 e6 2. e4 *\n";
    let own = [
        game(Color::White, "d4 e6 c4 d5 Nc3 Nf6", 1500),
        game(Color::White, "d4 e6 e4 d5", 1500),
        game(Color::White, "d4 e6 c4", 1500),
        game(Color::White, "d4 Nf6", 1500),
        game(Color::White, "d4 d5", 1500),
        game(Color::White, "d4 e6 c4 Nf6", 1500),
        game(Color::Black, "e4 e5", 1500),
    ];
    let answer = ask(&counts(), &own, 3, &[], Some((lines, Color::White)));
    let lines = answer.repertoire.expect("there are lines");
    let told = [lines.games, lines.to_the_end, lines.within, lines.by_student, lines.by_opponent];
    assert_eq!(told, [6, 2, 2, 0, 2]);
    assert_eq!((lines.by_first_move, lines.several), (0, 1));
    let places: Vec<_> = answer
        .left
        .iter()
        .map(|left| (left.line.as_str(), left.mv.san.as_str(), left.by))
        .collect();
    assert_eq!(places, [("1. d4", "Nf6", By::Opponent), ("1. d4 e6 2. c4", "Nf6", By::Opponent)]);
}

#[test]
fn what_to_learn_first_tells_a_position_once() {
    let own = [
        vec![game(Color::Black, "e4 e5 Nf3 f6 Nxe5", 1500); 4],
        vec![game(Color::White, "d4 d5 Nf3", 1500); 2],
        // Another opening is nothing forgotten.
        vec![game(Color::White, "e4 e5", 1500); 3],
    ];
    let answer = ask(
        &counts(),
        &own.concat(),
        3,
        &[trap("e4 e5 Nf3 f6 Nxe5", 3)],
        Some(("1. d4 d5 2. c4 *", Color::White)),
    );
    let kinds: Vec<Kind> = answer.first.iter().map(|learn| learn.kind).collect();
    assert_eq!(kinds, [Kind::Habit, Kind::Forgot]);
    // It names the trap whose slip it is.
    assert!(answer.habits[0].trap.is_some() && answer.habits[0].trap == answer.slips[0].trap);
    assert_eq!(
        answer.repertoire.map(|lines| (lines.by_student, lines.by_first_move)),
        Some((5, 3))
    );
    assert_eq!(answer.level.bands, BandRange::ALL);
}

#[test]
fn what_allows_mate_in_one_is_told_however_few_games_the_level_has() {
    let mated = "e4 e5 Bc4 Nc6 Qh5 Nf6 Qxf7#";
    let missed = "e4 e5 Bc4 Nc6 Qh5 Nf6 d3";
    let own = [
        vec![game(Color::Black, mated, 1500); 5],
        vec![game(Color::Black, missed, 1500); 2],
        vec![game(Color::Black, "e4 e5 Bc4 Nc6 Qh5 g6", 1500); 1],
    ];
    let answer = ask(&counts(), &own.concat(), 3, &[], None);
    assert!(answer.habits.is_empty());
    let [slip] = &answer.slips[..] else { panic!("one slip: {:?}", answer.slips) };
    let mate = slip.mate.as_ref().map(|mv| mv.san.as_str());
    assert_eq!((slip.mv.san.as_str(), slip.played, slip.times), ("Nf6", 7, 8));
    assert_eq!((mate, &slip.trap), (Some("Qxf7#"), &None));
    assert_eq!(answer.first[0], Learn { kind: Kind::Slip, place: 0 });
    // A known trap tells it with more words.
    let answer = ask(&counts(), &own.concat(), 3, &[trap(mated, 5)], None);
    assert!(answer.slips[0].trap.is_some());
    assert_eq!(answer.first[0], Learn { kind: Kind::Fell, place: 0 });
}

#[test]
fn a_marked_slip_is_listed_if_it_is_repeated_and_not_known_to_lose_nothing() {
    let own = [
        vec![game(Color::Black, "e4 e5 Nf3 d6", 1500); 2],
        vec![game(Color::Black, "e4 e5 Nf3 f6", 1500); 1],
    ];
    let traps = [trap("e4 e5 Nf3 d6 d4", 3), trap("e4 e5 Nf3 f6 Nxe5", 3)];
    let slips = |counts: ModelCounts| {
        let answer = ask(&counts, &own.concat(), 3, &traps, None);
        let of = |slip: &KnownSlip| (slip.mv.san.clone(), slip.played, slip.mate.is_some());
        answer.slips.iter().map(of).collect::<Vec<_>>()
    };
    assert_eq!(slips(counts()), [("d6".to_owned(), 2, false)]);
    let harmless = with_evals(counts(), "e4 e5 Nf3 d6", 10, -20);
    assert_eq!(slips(with_evals(harmless, "e4 e5 Nf3 Nc6", 10, 0)), []);
}
