//! Plies: the moves of a game played on a board.
//!
//! In: words of a movetext. Out: for each half-move the key of the position in which it was played,
//! its code, the time spent and the evaluation, and whether it is the game's first visit there. A
//! word that is no legal move, or more than one, ends the game.

mod cache;
mod clock;
mod quick;
mod replay;

pub use replay::{IllegalMove, Ply, Replayer};
