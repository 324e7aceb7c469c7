//! Games: the text of a dump cut into games, each judged by its tags.
//!
//! In: bytes that hold whole games. Out: for each game a [`Game`] ready to be replayed, or the
//! reason why it is [`LeftOut`]. Nothing here knows where the bytes come from, and nothing here
//! knows chess beyond the spelling of PGN.
//!
//! Where a game begins and ends is defined in [`scan`].
//!
//! Rules for the inside of a game are those of the PGN standard (1994.03.12): sections 5
//! (comments), 6 (escape lines), 7 (tokens), 8.1 (tag pairs), 8.2 (movetext). Unlike the standard,
//! lines may be of any length and bytes of any encoding.
//!
//! Most of a dump's bytes are comments, and moves after the counted ones. `Movetext` jumps over
//! both, and a game's tags are taken first, so that a game that does not count is never replayed.
//! With pgn-reader in its place a build exports the same bytes and takes 1.21 times as long
//! (`tests/bench/NOTES.md`).
#![doc = include_str!("../pages/help/which-games.md")]

mod any_game;
mod comments;
mod cut;
mod date;
mod edit;
mod export;
mod free_text;
mod game;
mod hash;
mod left_out;
mod letters;
mod line_ends;
mod movetext;
mod plain;
mod player;
mod player_name;
mod reader;
mod rules;
pub mod scan;
mod span;
mod tags;
mod text;

pub use any_game::AnyGame;
pub use cut::{last_cut, last_cut_behind, last_cut_inside};
pub use date::{Date, DateBound};
pub use edit::{with_comment, without_clocks};
pub use export::export;
pub use game::{Game, GameResult};
pub use hash::hash_game;
pub use left_out::{LeftOut, LeftOutTally};
pub use letters::{text_of, written_text};
pub use line_ends::{BYTE_ORDER_MARK, settle_line_ends, settled_mark};
pub use movetext::{Ending, Movetext, PlayedMove};
pub use player::Players;
pub use player_name::PlayerName;
pub use reader::{GameReader, GameText};
pub use rules::Rules;
pub use scan::{Scan, words_behind_tags};
pub use span::{Mark, Measures, Span};
pub use tags::Tags;
