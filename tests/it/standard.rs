//! The sample game and the rules of the PGN standard (Standard: Portable Game Notation
//! Specification and Implementation Guide, revised 1994.03.12), read as dumps are read.

use deadfall::games::{Movetext, PlayedMove};
use deadfall::plies::{Ply, Replayer};
use deadfall::terms::{Key, TimeControl};
use shakmaty::fen::Fen;
use shakmaty::{CastlingMode, Chess, Position};

/// Section 2.3, without its players.
const SAMPLE: &str = "\
1. e4 e5 2. Nf3 Nc6 3. Bb5 a6 4. Ba4 Nf6 5. O-O Be7 6. Re1 b5 7. Bb3 d6 8. c3
O-O 9. h3 Nb8 10. d4 Nbd7 11. c4 c6 12. cxb5 axb5 13. Nc3 Bb7 14. Bg5 b4 15.
Nb1 h6 16. Bh4 c5 17. dxe5 Nxe4 18. Bxe7 Qxe7 19. exd6 Qf6 20. Nbd2 Nxd6 21.
Nc4 Nxc4 22. Bxc4 Nb6 23. Ne5 Rae8 24. Bxf7+ Rxf7 25. Nxf7 Rxe1+ 26. Qxe1 Kxf7
27. Qe3 Qg5 28. Qxg5 hxg5 29. b3 Ke6 30. a3 Kd6 31. axb4 cxb4 32. Ra5 Nd5 33.
f3 Bc8 34. Kf2 Bf5 35. Ra7 g6 36. Ra6+ Kc5 37. Ke1 Nf4 38. g3 Nxh3 39. Kd2 Kb5
40. Rd6 Kc5 41. Ra6 Nf2 42. g4 Bd3 43. Re6 1/2-1/2
";

/// Every rule of sections 5 to 8 that a reader of dumps can trip over, in one game of our own.
const TORTURE: &str = "\
1.e4 {brace ; with semicolon { and a left brace} e5 ; rest of line } with brace ( and 9. Qh5
2 . Nf3!? $5 (2. f4 exf4 (2... d5!? 3. exd5) 3. Nf3) 2... Nc6 $1 {[%clk 0:09:58][%eval -6.05] text % not an escape}
% second escape line 3. Bc4 Bc5
3. Bb5 a6?? 4. Bxc6 dxc6 {[%emt 0:00:03]} 5. O-O *
";

fn plies(movetext: &str) -> Vec<Ply> {
    let mut movetext = Movetext::new(movetext.as_bytes());
    let mut replayer = Replayer::new();
    replayer.play(&mut movetext, 200, TimeControl::UNKNOWN).expect("every move is legal").to_vec()
}

fn end_of(plies: &[Ply]) -> Chess {
    plies.iter().fold(Chess::default(), |mut board, ply| {
        board.play_unchecked(ply.code.to_move(&board).expect("a legal move"));
        board
    })
}

/// Numbers and keys computed with python-chess 1.11.2.
#[test]
fn the_sample_game_has_85_plies_and_ends_where_it_should() {
    let plies = plies(SAMPLE);
    assert_eq!(plies.len(), 85);
    assert_eq!(plies[20].key, Key(0xddbc_5e08_0e44_a548));
    let end = end_of(&plies);
    assert_eq!(Key::of(&end), Key(0x7d85_eca8_45db_4c40));
    let fen = "8/8/4R1p1/2k3p1/1p4P1/1P1b1P2/3K1n2/8 b - - 2 43";
    let expected: Fen = fen.parse().expect("a FEN");
    assert_eq!(end, expected.into_position(CastlingMode::Standard).expect("a position"));
}

/// 85 different positions among 86, the start and the end counted.
#[test]
fn the_sample_game_visits_one_position_twice() {
    let again = plies(SAMPLE).iter().filter(|ply| !ply.first_visit).count();
    assert_eq!(again, 1);
}

#[test]
fn the_torture_game_keeps_its_main_line_clock_and_evaluation() {
    let mut movetext = Movetext::new(TORTURE.as_bytes());
    let moves: Vec<PlayedMove> = std::iter::from_fn(|| movetext.next_move()).collect();
    let words: Vec<&str> = moves.iter().filter_map(|mv| std::str::from_utf8(mv.san).ok()).collect();
    assert_eq!(words.join(" "), "e4 e5 Nf3 Nc6 Bb5 a6 Bxc6 dxc6 O-O");
    assert_eq!((moves[3].clock, moves[3].eval), (Some(5980), Some(-605)));
    assert!(moves.iter().enumerate().all(|(place, mv)| place == 3 || mv.clock.is_none()));
    assert_eq!(movetext.finish().marker, Some(&b"*"[..]));
    assert_eq!(plies(TORTURE).len(), 9);
}
