//! A collection of well-known traps, if there is one at hand.
//!
//! `DEADFALL_TRAPS` names a PGN file of 24 well-known traps; without it the test says nothing. The
//! expected numbers were counted with python-chess 1.11.2.

use deadfall::lines::{Trap, TrapError};
use shakmaty::{Color, Position};

#[test]
fn the_collection_of_well_known_traps_is_read_whole() {
    let Some(path) = std::env::var_os("DEADFALL_TRAPS") else { return };
    let pgn = std::fs::read_to_string(path).expect("DEADFALL_TRAPS names a readable file");
    let traps: Vec<Trap> =
        Trap::read_all(&pgn).into_iter().collect::<Result<_, TrapError>>().expect("all are traps");
    let count = |fits: &dyn Fn(&Trap) -> bool| traps.iter().filter(|trap| fits(trap)).count();
    assert_eq!(traps.len(), 24);
    assert_eq!(traps.iter().map(|trap| trap.line().len()).sum::<usize>(), 418);
    assert_eq!(count(&|trap| trap.victim() == Color::White), 11);
    assert_eq!(count(&|trap| trap.setter() == Color::White), 13);
    assert_eq!(count(&|trap| trap.line().end().is_checkmate()), 10);
}
