//! Answers: pure statistics on counted cells.
//!
//! In: any [`Counts`](crate::counts::Counts) and a [`Question`]. Out: plain structs, the move table
//! of a position, the report on a trap, the verdict on a claim. Every share and mean carries its
//! count and its interval, or says why it is withheld. Nothing here opens a file, knows the time or
//! prints. What fails is a look-up of the counts, with their own
//! [`Error`](crate::counts::Counts::Error).

pub mod across;
mod baseline;
pub mod claims;
mod edge;
mod effect;
mod figure;
pub mod gaps;
pub mod hunt;
mod joined;
pub mod lesson;
pub mod map;
pub mod mate;
pub mod months;
pub mod moves;
mod question;
mod sampling;
pub mod stats;
pub mod steps;
pub mod student;
pub mod trap;

#[cfg(test)]
pub(crate) mod kit;

pub use baseline::Baseline;
pub use edge::Sample;
pub use figure::{Figure, Withheld};
pub use question::{Cutoffs, Question};
pub use sampling::Sampling;
