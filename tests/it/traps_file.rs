//! A collection of well-known traps, if there is one at hand.
//!
//! `DEADFALL_TRAPS` names a PGN file of 24 well-known traps (common practice, no source); without it
//! the test says nothing. The expected numbers and keys were computed with python-chess 1.11.2.

use deadfall::lines::{Trap, TrapError};
use deadfall::terms::Key;
use shakmaty::{Color, Position};

/// Each game's slip, and the key of the position before it.
const SLIPS: [(&str, u64); 24] = [
    ("5... Bxd1", 0x279a2895a6dffc18),
    ("8. Qxd4", 0xb76fb10539466156),
    ("6. Nxd5", 0x98ceb48647f08530),
    ("6. Bxb4", 0xbe5934bc0d347dbf),
    ("6. hxg4", 0x060621c36bd78d72),
    ("9. h3", 0x8b51fcf3e82d690e),
    ("12... f5", 0x6770560589912e27),
    ("5. Nxe5", 0xbab1a9d0d1fb9f4e),
    ("5. Nxf7", 0x30bdec1502867f5f),
    ("9... Nxc3", 0x032be74baaa7080e),
    ("8... Bg4", 0x6e2e1ec493eb6598),
    ("7... Bg4", 0xbd2e3b0f56f2b64b),
    ("8. axb4", 0xa6b3870f47adf8b2),
    ("8... dxe5", 0x0ad299981e20f26a),
    ("7... O-O", 0x1b291b3f351445d9),
    ("6. Bc3", 0x98821886487b56a0),
    ("6. g3", 0x770e48eacac76133),
    ("4... Nf6", 0x1d3c7e994765c0aa),
    ("7... Nxd4", 0x54155f8cd0e72548),
    ("5... cxb5", 0xb4eae1e602685be4),
    ("5... Ngf6", 0x6c233626e2cde41f),
    ("3... fxe5", 0xa1368d5e98e76ad4),
    ("3... Nf6", 0x60171cf67b4bec99),
    ("2. g4", 0xa2f2786325beebdb),
];

#[test]
fn the_collection_of_well_known_traps_is_read_whole() {
    let Some(path) = std::env::var_os("DEADFALL_TRAPS") else { return };
    let pgn = std::fs::read_to_string(path).expect("DEADFALL_TRAPS names a readable file");
    let traps: Vec<Trap> =
        Trap::read_all(&pgn).into_iter().collect::<Result<_, TrapError>>().expect("all are traps");
    let slip = |trap: &Trap| trap.line().text(trap.slip_ply()..trap.slip_ply() + 1);
    let slips: Vec<_> = traps.iter().map(|trap| (slip(trap), Key::of(trap.position()))).collect();
    assert_eq!(slips, SLIPS.map(|(slip, key)| (slip.to_owned(), Key(key))));
    let count = |fits: &dyn Fn(&Trap) -> bool| traps.iter().filter(|trap| fits(trap)).count();
    assert_eq!(traps.iter().map(|trap| trap.line().len()).sum::<usize>(), 418);
    assert_eq!(count(&|trap| trap.victim() == Color::White), 11);
    assert_eq!(count(&|trap| trap.setter() == Color::White), 13);
    assert_eq!(count(&|trap| trap.line().end().is_checkmate()), 10);
}
