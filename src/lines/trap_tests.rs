//! Traps as teachers write them. Lines and names are common practice, no source; legality and mates
//! were checked with python-chess 1.11.2.

use pgn_reader::{Nag, Reader, SanPlus, Visitor};
use shakmaty::{Chess, Color, Position};
use std::ops::ControlFlow;

use super::{GameError, GameReason, LONGEST_NAME, Line, MOST_TRAPS, MarkedSlip, Trap, san_text};
use crate::terms::Key;

/// Two mates each way, a trap that begins with a `?` of the victim, one that wins material.
const TRAPS: &str = r#"[Event "Legal's Mate"]
[White "?"]
[Result "*"]

1. e4 e5 2. Nf3 d6 3. Bc4 Bg4 4. Nc3 g6 5. Nxe5 Bxd1 $4 6. Bxf7+ Ke7 7. Nd5# *

[Event "Elephant Trap"]

1. d4 d5 2. c4 e6 3. Nc3 Nf6 4. Bg5 Nbd7 5. cxd5 exd5 6. Nxd5 $4 Nxd5 7. Bxd8
Bb4+ 8. Qd2 Bxd2+ 9. Kxd2 Kxd8 *

[Event "Blackburne Shilling Trap"]

1. e4 e5 2. Nf3 Nc6 3. Bc4 Nd4 4. Nxe5? Qg5 5. Nxf7?? Qxg2 6. Rf1 Qxe4+ 7. Be2 Nf3# *

[Event "Caro-Kann Smothered Mate"]

1. e4 c6 2. d4 d5 3. Nc3 dxe4 4. Nxe4 Nd7 5. Qe2 Ngf6 {the pawn on e7 is pinned} $4 6. Nd6# *

[Event "Fool's Mate"]

1. f3 e5 2. g4?? Qh4# *
"#;

fn traps(pgn: &str) -> Vec<Trap> {
    Trap::read_all(pgn).into_iter().collect::<Result<_, GameError>>().expect("all are traps")
}

fn trap(text: &str) -> Trap {
    Trap::from_text(text).remove(0).expect("a trap")
}

fn error(text: &str) -> String {
    Trap::from_text(text).remove(0).expect_err("no trap").to_string()
}

fn game_error(pgn: &str) -> String {
    Trap::read_all(pgn).remove(0).expect_err("no trap").to_string()
}

fn slip(trap: &Trap) -> String {
    trap.line().text(trap.slip_ply()..trap.slip_ply() + 1)
}

/// Keys computed with shakmaty and python-chess alike.
#[test]
fn known_traps_are_read_with_their_slips_and_trap_positions() {
    let read: Vec<_> = traps(TRAPS)
        .iter()
        .map(|trap| (slip(trap), Key::of(trap.position()).0, trap.line().end().is_checkmate()))
        .collect();
    let expected = [
        ("5... Bxd1", 0x279a2895a6dffc18, true),
        ("6. Nxd5", 0x98ceb48647f08530, false),
        ("5. Nxf7", 0x30bdec1502867f5f, true),
        ("5... Ngf6", 0x6c233626e2cde41f, true),
        ("2. g4", 0xa2f2786325beebdb, true),
    ];
    assert_eq!(read, expected.map(|(slip, key, mate)| (slip.to_owned(), key, mate)));
    let falls = |side| traps(TRAPS).iter().filter(|trap| trap.victim() == side).count();
    assert_eq!((falls(Color::White), falls(Color::Black)), (3, 2));
}

#[test]
fn line_ends_of_any_system_read_alike() {
    assert_eq!(traps(&TRAPS.replace('\n', "\r\n")), traps(TRAPS));
}

#[test]
fn a_trap_knows_its_parts() {
    let trap = trap("1. e4 e5 2. Nf3 Nc6 3. Bc4 Nd4 4. Nxe5? Qg5 5. Nxf7?? Qxg2 6. Rf1");
    let san = |position: &Chess, mv| san_text(position, mv);
    assert_eq!((trap.name(), trap.setter()), ("Trap 1", Color::Black));
    assert_eq!(trap.bait_ply().map(|ply| trap.line().san(ply)).as_deref(), Some("Qg5"));
    assert_eq!(san(trap.position(), trap.slips()[0].slip()), "Nxf7");
    assert_eq!(san(trap.position_after_slip(), trap.slips()[0].refutations()[0]), "Qxg2");
    assert_eq!(trap.line().text(10..11), "6. Rf1");
}

#[test]
fn the_first_move_can_be_the_slip_and_has_no_bait() {
    let trap = trap("1. g4?? d5");
    assert_eq!((trap.slip_ply(), trap.bait_ply(), trap.setter()), (0, None, Color::Black));
}

#[test]
fn without_a_blunder_the_last_mistake_is_the_slip() {
    assert_eq!(slip(&trap("1. f3? e5 2. g4 $2 Qh4#")), "2. g4");
    assert_eq!(slip(&trap("1. f3? e5! 2. g4!? Qh4#")), "1. f3");
    assert_eq!(slip(&trap("1. f3? e5 (1... e6? 2. d4) 2. d4")), "1. f3");
    assert_eq!(slip(&trap("1. f3 e5 (1... g5? 2. h4) 2. d4")), "1... g5");
}

#[test]
fn each_slip_of_a_line_is_a_trap_named_by_its_move() {
    let pgn = "[Event \"Two\"]\n\n1. e4 e5 2. Nf3 Nc6 3. Bc4 Nd4 4. Nxe5?? Qg5 5. Nxf7?? Qxg2 *";
    let names: Vec<String> = traps(pgn).iter().map(|trap| trap.name().to_owned()).collect();
    assert_eq!(names, ["Two (4. Nxe5)", "Two (5. Nxf7)"]);
    assert_eq!(traps(pgn)[0].line(), traps(pgn)[1].line());
}

#[test]
fn slips_of_one_position_are_one_trap_with_all_their_refutations() {
    let text = "1. f3 e5 2. g4 $4 (2. h3 $4 Qh4+ 3. g3) (2. d4 exd4) 2... Qh4# (2... d5 3. e3) *";
    let both: Vec<Trap> = Trap::from_text(text).into_iter().filter_map(Result::ok).collect();
    assert_eq!(both.iter().map(slip).collect::<Vec<_>>(), ["2. g4"]);
    let slips = both[0].slips();
    assert_eq!(slips.iter().map(MarkedSlip::san).collect::<Vec<_>>(), ["g4", "h3"]);
    assert_eq!(refutations(&slips[0]), ["Qh4#", "d5"]);
    assert_eq!(refutations(&slips[1]), ["Qh4+"]);
    assert_eq!(slips[1].line().to_string(), "1. f3 e5 2. h3 Qh4+ 3. g3");
    assert_eq!((both[0].name(), both[0].other_ways().len()), ("Trap 1", 0));
}

fn refutations(slip: &MarkedSlip) -> Vec<String> {
    let san = |&mv: &shakmaty::Move| san_text(slip.position_after(), mv);
    slip.refutations().iter().map(san).collect()
}

/// The second game comes to the position of the first by another order of moves, the third by
/// the same one.
#[test]
fn games_of_one_position_are_one_trap_by_the_way_of_the_first() {
    let first = "[Event \"One\"]\n\n1. e4 e5 2. Nf3 d6 3. Bc4 Bg4?? 4. Bxf7+ *";
    let second = "[Event \"Two\"]\n\n1. e4 e5 2. Bc4 d6 3. Nf3 h6?? 4. d4 exd4 *";
    let third = "[Event \"One\"]\n\n1. e4 e5 2. Nf3 d6 3. Bc4 Bg4?? 4. h3 *";
    let other = "[Event \"Three\"]\n\n1. f3 e5 2. g4?? Qh4# *";
    let found = traps(&format!("{first}\n\n{other}\n\n{second}\n\n{third}"));
    let names: Vec<&str> = found.iter().map(Trap::name).collect();
    assert_eq!(names, ["One / Two", "Three"]);
    let slips = found[0].slips();
    assert_eq!(slips.iter().map(MarkedSlip::san).collect::<Vec<_>>(), ["Bg4", "h6"]);
    assert_eq!([refutations(&slips[0]), refutations(&slips[1])], [vec!["Bxf7+", "h3"], vec!["d4"]]);
    assert_eq!(slips[1].line().to_string(), "1. e4 e5 2. Nf3 d6 3. Bc4 h6 4. d4 exd4");
    let ways: Vec<String> = found[0].other_ways().iter().map(Line::to_string).collect();
    assert_eq!(ways, ["1. e4 e5 2. Bc4 d6 3. Nf3"]);
}

#[test]
fn the_setter_tag_decides_between_slips_of_both_sides() {
    let moves = "1. f3?? e5 2. g4?? h6?? 3. h3 *";
    let setter = |side: &str| {
        let found = traps(&format!("[Setter \"{side}\"]\n\n{moves}"));
        found.iter().map(slip).collect::<Vec<_>>().join(" ")
    };
    assert_eq!((setter("Black"), setter("white")), ("1. f3 2. g4".into(), "2... h6".into()));
    assert_eq!(
        game_error(moves),
        "game 1: slips of both sides are marked, 1. f3 and 2... h6: mark those of one side only, \
         or name the setter with the tag [Setter \"White\"] or [Setter \"Black\"]"
    );
}

#[test]
fn a_setter_tag_must_name_a_side_and_leave_a_slip() {
    assert_eq!(
        game_error("[Event \"X\"]\n[Setter \"Grey\"]\n\n1. f3?? e5 *"),
        "game 1 (X): the Setter tag says 'Grey': write White or Black"
    );
    assert_eq!(
        game_error("[Setter \"White\"]\n\n1. f3?? e5 *"),
        "game 1: no move of Black is marked as the slip: write ?? after it"
    );
}

#[test]
fn a_line_without_slip_or_refutation_is_no_trap() {
    assert_eq!(error("1. e4 e5!"), "the line: no move is marked as the slip: write ?? after it");
    assert!(error(" ").starts_with("the line: no move in it: "));
    assert_eq!(
        error("1. f3 e5 2. g4??"),
        "the line: nothing follows the slip 2. g4 (half-move 3): write the refutation"
    );
}

#[test]
fn an_error_names_the_game_and_spares_the_others() {
    let pgn = "1. f3 e5 2. g4?? Qh4# *\n\n[Event \"Bad\"]\n\n1. e4 e5 2. Nf5?? d5 *\n\n1. g4?? d5";
    let read = Trap::read_all(pgn);
    assert_eq!(read.iter().map(Result::is_ok).collect::<Vec<_>>(), [true, false, true]);
    let error = read[1].as_ref().expect_err("illegal").to_string();
    assert!(error.starts_with("game 2 (Bad): no legal move 'Nf5' at White's move 2"), "{error}");
    assert_eq!(read[2].as_ref().map(Trap::name), Ok("Trap 3"));
}

#[test]
fn a_misspelt_word_is_never_passed_over() {
    let text = "1. e4 e5 2. Nf3 Nc6 3. Bc4 Nd4 Nxee5 4. c3 Nxf3+?? 5. Qxf3";
    assert!(error(text).contains("'Nxee5' at White's move 4 (half-move 7)"), "{}", error(text));
}

#[test]
fn a_text_without_a_game_is_an_error() {
    for text in ["", "\n\n", "My traps for Monday.\n", "{nothing}"] {
        assert!(game_error(text).starts_with("no game in it: "), "{text:?}");
    }
    assert!(game_error("[Event \"E\"]\n\n*\n").starts_with("game 1 (E): no move in it: "));
}

#[test]
fn a_trap_starts_from_the_initial_position() {
    let start = "rnbqkbnr/pppppppp/8/8/8/8/PPPPPPPP/RNBQKBNR w KQkq - 0 1";
    let with = |tags: &str| Trap::read_all(&format!("{tags}\n\n1. g4?? d5 *")).remove(0);
    assert!(with(&format!("[SetUp \"1\"]\n[FEN \"{start}\"]")).is_ok());
    let reason = |tags| with(tags).expect_err("no trap").reason;
    assert_eq!(
        reason("[FEN \"4k3/8/8/8/8/8/6P1/4K3 w - - 0 1\"]"),
        GameReason::NotFromStart("FEN")
    );
    assert_eq!(reason("[SetUp \"1\"]"), GameReason::NotFromStart("SetUp"));
    assert_eq!(reason("[Variant \"Atomic\"]"), GameReason::Variant("Atomic".into()));
    assert_eq!(reason("[Setter White]"), GameReason::Tag("[Setter White]".into()));
}

/// Main line and blunders of each game as the general PGN reader sees them.
struct Judge;

impl Visitor for Judge {
    type Tags = ();
    type Movetext = (Vec<String>, Vec<usize>);
    type Output = Self::Movetext;

    fn begin_tags(&mut self) -> ControlFlow<Self::Output, ()> {
        ControlFlow::Continue(())
    }

    fn begin_movetext(&mut self, _: ()) -> ControlFlow<Self::Output, Self::Movetext> {
        ControlFlow::Continue((Vec::new(), Vec::new()))
    }

    fn san(&mut self, game: &mut Self::Movetext, san: SanPlus) -> ControlFlow<Self::Output> {
        game.0.push(san.to_string());
        ControlFlow::Continue(())
    }

    fn nag(&mut self, game: &mut Self::Movetext, nag: Nag) -> ControlFlow<Self::Output> {
        if nag == Nag::BLUNDER {
            game.1.push(game.0.len() - 1);
        }
        ControlFlow::Continue(())
    }

    fn end_game(&mut self, game: Self::Movetext) -> Self::Output {
        game
    }
}

#[test]
fn sound_texts_read_as_a_general_pgn_reader_reads_them() {
    let judged: Vec<_> = Reader::new(TRAPS.as_bytes())
        .read_games(&mut Judge)
        .collect::<Result<_, _>>()
        .expect("readable");
    let read: Vec<_> = traps(TRAPS)
        .iter()
        .map(|trap| {
            let line = trap.line();
            ((0..line.len()).map(|ply| line.san(ply)).collect(), vec![trap.slip_ply()])
        })
        .collect();
    assert_eq!(read, judged);
}

#[test]
fn what_no_person_writes_is_refused_with_its_limit() {
    let reason = |text: &str| {
        let last = Trap::read_all(text).pop().expect("one at least");
        last.expect_err("no trap").to_string()
    };
    let trap = "[Event \"A\"]\n\n1. e4 e5?? 2. Nf3 *\n\n";
    assert!(Trap::read_all(&trap.repeat(MOST_TRAPS)).iter().all(Result::is_ok));
    assert_eq!(
        reason(&trap.repeat(40_000)),
        "game 501 (A): with it there are more than 500 traps, the limit for a file: split it into several"
    );
    let long = "Nf3 Nf6 Ng1 Ng8 ".repeat(98) + "e4 e5?? d4 *\n\n";
    let message = "game 102: with it the traps have more than 40000 half-moves together";
    assert!(reason(&long.repeat(200)).starts_with(message));
    let slips = "Nf3 Nf6?? Ng1 Ng8?? ".repeat(60);
    assert_eq!(reason(&slips), "game 1: 120 moves are marked as slips: the limit is 100 a game");
    let name = "x".repeat(1_000_000);
    let named = Trap::read_all(&trap.replace('A', &name)).remove(0).expect("a trap");
    assert_eq!(named.name().chars().count(), LONGEST_NAME + 1);
    for tag in ["[Setter \"", "[Variant \"", "[Broken "] {
        let message = reason(&format!("{tag}{name}\"]\n\n1. e4 e5?? 2. Nf3 *\n"));
        assert!(message.len() < 300, "{message}");
    }
}
