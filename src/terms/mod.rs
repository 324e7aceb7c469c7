//! Terms: the words that all stages share, as types.
//!
//! What a game is about (rating, band, pace, result, expected score, a player's group), what a
//! position and a move are called (key, move code), and whose choices are looked at (filter).
//! Values only: nothing here counts.

mod band;
mod cell_id;
mod expected;
mod filter;
mod group;
mod key;
mod move_code;
mod outcome;
mod pace;

pub use band::{BAND_WIDTH, Band, BandRange, Rating};
pub use cell_id::CellId;
pub use expected::expected_milli;
pub use filter::MoverFilter;
pub use group::Group;
pub use key::{EN_PASSANT, Key, KeyMap};
pub use move_code::MoveCode;
pub use outcome::Outcome;
pub use pace::{Pace, PaceSet, TimeControl};
