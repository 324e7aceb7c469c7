//! Games: the text of a dump cut into games, each judged by its tags.
//!
//! In: bytes that hold whole games. Out: for each game a [`Game`] ready to be replayed, or the
//! reason why it is [`LeftOut`]. Nothing here knows where the bytes come from, and nothing here
//! knows chess beyond the spelling of PGN.
//!
//! A game is a section of tag pairs and the movetext behind it, up to an empty line or a line that
//! starts a tag pair; a game without tags starts at its first move; free text is no game.

mod date;
mod left_out;
mod rules;

pub use date::{Date, DateBound};
pub use left_out::{LeftOut, LeftOutTally};
pub use rules::Rules;
