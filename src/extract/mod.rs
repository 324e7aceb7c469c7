//! Extract: whole games out of dumps, read once more.
//!
//! In: dumps and what is [`Wanted`]. Out: the text of the games that pass through a position or a
//! trap, as PGN, in the order of the dumps or by rating. The store is not asked: counts forget the
//! games they were made of.
//!
//! One thread reads and cuts, others look into the games, the caller's writes. A game is only
//! played as long as it may still get there (see [`Chase`](crate::plies::Chase)). The same dumps
//! give the same text, whatever the threads.
//!
//! A student's games are read by [`read_students`], for an answer; they go into no store
//! and no file.

mod error;
mod order;
mod reading;
mod students;
mod wanted;

pub use error::ExtractError;
pub use order::Order;
pub use reading::{Extracted, Job, extract};
pub use students::{StudentsRead, Wanted as WantedStudent, read_students};
pub use wanted::{Remark, Wanted};
