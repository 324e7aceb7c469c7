//! Games: the text of a dump cut into games, each judged by its tags.
//!
//! In: bytes that hold whole games. Out: for each game a [`Game`] ready to be replayed, or the
//! reason why it is [`LeftOut`]. Nothing here knows where the bytes come from, and nothing here
//! knows chess beyond the spelling of PGN.
//!
//! # Where a game begins and ends
//!
//! A game is a section of tag pairs and the movetext behind it. The movetext ends at an empty line
//! or a line that begins with `[`, both outside comments; its last word, and no other, is the
//! end marker. A game without tags starts at a line that begins with a move; other free text is no
//! game. So that an unterminated
//! comment costs one game only, a line that begins with `[Event "` starts a new game even inside a
//! comment, and so does any tag pair behind an empty line behind a line that ends with an end
//! marker, unless the comment is closed before another one is opened.
//!
//! Rules for the inside of a game are those of the PGN standard (1994.03.12): sections 5 (comments),
//! 6 (escape lines), 7 (tokens), 8.1 (tag pairs), 8.2 (movetext). Unlike the standard, lines may be
//! of any length and bytes of any encoding.

mod comments;
mod date;
mod export;
mod game;
mod left_out;
mod movetext;
mod player;
mod reader;
mod rules;
mod tags;
mod text;

pub use date::{Date, DateBound};
pub use export::export;
pub use game::{Game, GameResult};
pub use left_out::{LeftOut, LeftOutTally};
pub use movetext::{Ending, Movetext, PlayedMove};
pub use player::Players;
pub use reader::{GameReader, GameText};
pub use rules::Rules;
pub use tags::Tags;
pub use text::{first_cut, last_cut};
