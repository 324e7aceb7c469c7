//! Store: the counts of a build in one file, and back.
//!
//! In: positions in ascending order of their keys, already encoded by [`codec`], and a [`Header`].
//! Out: a file that opens read-only in milliseconds and implements [`crate::counts::Counts`].
//! This is the only stage that uses redb; it never counts, merges or prints.
//!
//! # The file
//!
//! One redb database, written in one durable transaction and never changed afterwards: adding games
//! writes a new file that replaces the old one. Two tables ([`schema`]):
//!
//! `deadfall`: text -> bytes
//!
//! | entry | value |
//! | --- | --- |
//! | `format` | the text `deadfall store, format N` in ASCII |
//! | `header` | sealed JSON of [`Header`]: rules, sources, what was dropped |
//! | `totals` | sealed bytes: the games per colour, band and pace, see below |
//! | `summary` | sealed JSON of [`Summary`]: positions, cells, visits, last key |
//! | `openings` | sealed JSON: `[[eco, name], ...]`, every distinct tag in order of first use |
//!
//! Sealed: 8 bytes little-endian, xxh3-64 of what is behind it seeded with xxh3-64 of the
//! entry's name.
//!
//! `positions`: key (u64) -> one entry:
//!
//! | bytes | field |
//! | --- | --- |
//! | 4, little-endian | checksum: low half of xxh3-64 of the rest, seeded with this key and the key before it |
//! | varint | place of the opening in `openings` + 1, or 0 without one |
//! | varint, only with an opening | its tally |
//! | the rest | the body |
//!
//! The body, encoded ahead of time and on any thread ([`codec::encode_body`]):
//!
//! | bytes | field |
//! | --- | --- |
//! | varint | games that may be missing (`may_lack`) |
//! | varint | games in all |
//! | varint | cells in all |
//! | then, a move, ascending by code, until these are all cells: | |
//! | 2, little-endian | move code in 15 bits; the top bit says that the move has just one cell |
//! | varint, without that bit | how many cells, 2 or more |
//! | then, a cell, ascending by id: | |
//! | 1 | band index x 6 + pace index |
//! | 1 | head = (clock x 2 + eval) x 35 + shape, under 210 |
//! | 3 varints, with shape 34 | games, wins, draws; shapes 0 to 33 are all results of 1 to 4 games |
//! | varint, zigzag | expected thousandths - 500 x games |
//! | varint, with clock 2 | games with a clock reading; clock 0: none, 1: all of them |
//! | varint, with clock 1 or 2 | sum of the tenths of a second |
//! | varint, with more than one reading | sum of their squares |
//! | 2 varints, the second zigzag, with eval 1 | games with an evaluation, sum of the centipawns |
//! | then, to the end: | |
//! | bits | the games of each cell by group, cell after cell |
//!
//! The bits fill bytes from the lowest up, the last byte with zeros. A cell of fewer than 8 games
//! has 5 bits a game: its group, in ascending order. A cell of n games, 8 or more, has a number for
//! each of the 32 groups in a Rice code, which suits numbers of about one size: with k =
//! floor(log2(max(1, floor(n / 32)))) the number over 2^k as so many ones and a zero, then its
//! lowest k bits, lowest first. So one game takes less than a byte, and a cell of any size at most
//! 32 (k + 1) + 64 bits.
//!
//! The totals: how many rows there are, a varint; then, a row, ascending by colour (0 White, 1
//! Black) and id: these two in a byte each and as varints games, wins, draws, expected thousandths,
//! the sum of their squares and that of their products with results in thousandths; then, to the
//! end, bits: the games of each row by group, as those of cells.
//!
//! A varint is LEB128: 7 bits a byte, lowest first, the top bit of every byte but the last set, no
//! superfluous bytes. Zigzag maps 0, -1, 1, -2 ... to 0, 1, 2, 3 ...
//!
//! One entry a position: a look-up reads one value, and entries sorted by key load fast through a
//! cursor. Blocks of positions would be a little smaller and much more code. A flipped bit in a
//! page number can make redb ask for 1 GiB of memory before the damage is noticed; page numbers are
//! all over the file, so no look at its header finds them.
//!
//! # Invariants
//!
//! - Keys ascend strictly; the checksum of each entry rests on the key before it. So a look-up that
//!   finds nothing is proved by the two neighbours of the gap, and a walk that skips an entry
//!   notices: a page that is damaged can make an answer fail, not make it wrong (but for a chance
//!   of 2^-32 each). redb itself does not check a page when it reads it.
//! - Every cell has a game, wins + draws <= games, expected <= 1000 x games, readings <= games,
//!   |evaluations| <= 1000 x games with one; its games by group add up to its games. The cells of a
//!   position add up to its games, the games of all positions to the visits of the header less
//!   those dropped.
//! - In the totals games by group add up to games, and no sum of products of expected scores is
//!   larger than 1000 x the sum of expected scores.
//! - For each source, games read = games counted + games left out.
//! - All checks but the last sum are made on each read, those of games by group where they are
//!   read; [`verify()`] makes them for the whole file.
//!
//! # Format number
//!
//! [`schema::FORMAT`] grows with every change to the above or to the hash behind
//! [`crate::terms::Key`]. A store of any other number, older or newer, is refused and not
//! converted: its dumps can be counted again, or the version that wrote it still reads it.

pub mod codec;
mod entry;
mod error;
mod fence;
mod header;
mod overlay;
mod raw;
mod reader;
pub mod schema;
mod stoppable;
#[cfg(test)]
mod tests;
mod totals;
mod verify;
mod writer;

pub use error::StoreError;
pub use header::{Header, Summary};
pub use raw::{RawPosition, RawPositions};
pub use reader::{Store, looks_like_a_store};
pub use verify::{Report, verify};
pub use writer::{PositionSink, Written, write_store};
