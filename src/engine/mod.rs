//! Engine: a chess engine, run beside the program and asked about positions.
//!
//! In: the path of a program that speaks UCI, an open protocol (the Universal Chess Interface of
//! April 2004), and positions as FEN. Out: scores and moves. This is the only stage that starts a
//! process. It expects the worst of it: whatever does not start, dies, hangs or talks nonsense is
//! an [`EngineError`] after a set time, and the process is gone at the end in any case, with all
//! that it has started.
//!
//! Lines are read by a thread of their own, cut at 64 KiB, through a short queue, and written by
//! another; each answer has a time limit, each move is checked on a board, and the process group is
//! killed at the end. The client is our own: the few lines of UCI that are needed take less code
//! than a library would take to wrap.

mod client;
mod error;
mod listen;
mod protocol;

pub use client::{Engine, EngineSettings};
pub use error::EngineError;
pub use listen::{Evaluated, listen};
pub use protocol::Score;
