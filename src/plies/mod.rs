//! Plies: the moves of a game played on a board.
//!
//! In: words of a movetext. Out: for each half-move the key of the position in which it was played,
//! its code, the time spent and the evaluation, and whether it is the game's first visit there. A
//! word that is no legal move, or more than one, ends the game. A [`Chase`] looks for games that
//! pass through given positions, and leaves a game as soon as it no longer can.

mod board;
mod cache;
mod chase;
mod clock;
mod quick;
mod replay;

pub use chase::{Chase, Trail};
pub use replay::{IllegalMove, Ply, Replayer};
