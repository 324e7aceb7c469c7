//! Lines: what a user points at, read from text.
//!
//! In: the text of a line, of a position, of traps or of a claim, as a person writes it. Out:
//! checked moves on checked positions, or an error in one line that says what is wrong, where, and
//! what would have been possible. Nothing here opens a file, counts or prints.
//!
//! ```text
//! text -> words -> moves on a board -> Line                 (a position and how it came about)
//!                                   -> tree with marks -> Trap (a line with a slip in it)
//!                                                      -> Prepared (a file of lines, by position)
//! ```
//!
//! The texts are few and made by hand. So, unlike the games stage, which counts what it cannot
//! read, and unlike general PGN readers, which step over it, this stage refuses every word that it
//! does not understand: a misspelt move must not vanish from a trap, nor one with a wrong number be
//! taken for another. Reading takes time and memory in proportion to the text, and what is more
//! than a person writes is refused with the limit that it exceeds (`limits`).
//!
//! pgn-reader knows the marks (`??`, `$4`) and judges the readers in tests; it does not read
//! files here. As a reader of traps it steps over misspelt moves, `o-o` and half a tag, glues a
//! game to the next one after an end marker in the same line, and gives up the rest of a text at
//! an open comment (`trap_tests` shows it). A check that finds all this would be the reader of
//! tokens again.

mod claim;
mod claim_list;
mod fen;
mod fraction;
mod insertion;
mod limits;
mod line;
mod line_error;

mod numbers;
mod own_game;
mod pgn;
mod prepared;
#[cfg(test)]
mod properties;
mod remarks;
mod spelling;
mod text_error;
mod tokens;
mod trap;
#[cfg(test)]
mod trap_tests;
mod tree;
mod wrap;
mod written;

pub use claim::{Bound, Claim, ClaimError, ClaimKind, Relation};
pub use claim_list::{ClaimList, ClaimListReason, Listed};
pub use fraction::fraction;
pub use insertion::{Insertion, tag_pair};
pub use limits::{
    LONGEST_NAME, MOST_BYTES, MOST_HALF_MOVES, MOST_IN_TRAPS, MOST_OWN_GAMES, MOST_TRAPS,
};
pub use line::Line;
pub use line_error::{LineError, MoveError, NumberError, Place};
pub use own_game::{NotTaken, OwnGame, OwnPly, StudentGames};
pub use prepared::{Prepared, PreparedMove, PreparedPosition};
pub use spelling::{Misread, san_text};
pub use text_error::{GameError, GameReason, TextError, TextPlace};
pub use trap::{MarkedSlip, Trap};
pub use wrap::wrapped;
pub use written::{Script, WrittenMove};
