//! Answers: pure statistics on counted cells.
//!
//! In: any [`Counts`](crate::counts::Counts) and a [`Question`]. Out: plain structs, the move table
//! of a position, the report on a trap, the verdict on a claim. Every share and mean carries its
//! count and its interval, or says why it is withheld. Nothing here opens a file, knows the time or
//! prints.

pub mod claims;
mod edge;
mod figure;
pub mod gaps;
pub mod hunt;
pub mod lesson;
pub mod mate;
pub mod moves;
mod question;
pub mod stats;
pub mod trap;
mod words;

#[cfg(test)]
mod kit;

pub use edge::Sample;
pub use figure::{Mean, Rate, Withheld};
pub use question::{Cutoffs, Question, Sampling};
