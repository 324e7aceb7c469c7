//! deadfall: which opening traps really occur at a playing level.
//!
//! The pipeline, in the order in which data flows; each folder is one stage. Which stage may use
//! which is written down, and checked, in `tests/it/architecture.rs`:
//!
//! ```text
//! source   a dump (path or stdin) -> decompressed bytes in batches of whole games
//! games    the text of one game   -> Game, or the reason why it is left out
//! plies    the moves of a Game    -> position keys and moves
//! terms    rating, band, pace, key, move code: the words of all stages
//! counts   half-moves             -> records -> cells, totals, opening names
//! lines    what a user points at  -> positions, traps and claims
//! ledger   dumps, builds          -> one entry a dump, a summary a build
//! importer threads, memory, runs  -> one sorted stream of positions
//! store    positions              -> one redb file, and back
//! extract  dumps, once more       -> whole games as PGN
//! files    what is written        -> locks, working folders, finished files in their places
//! engine   positions              -> what a chess engine says about them
//! answers  counts                 -> moves, traps, claims, with intervals
//! pages    answers                -> tables, JSON, CSV; HTML, PGN, SVG
//! cli      arguments              -> all of the above
//! ```

#![forbid(unsafe_code)]

pub mod answers;
pub mod cli;
pub mod counts;
pub mod engine;
pub mod extract;
pub mod files;
pub mod games;
pub mod importer;
pub mod ledger;
pub mod lines;
pub mod pages;
pub mod plies;
pub mod source;
pub mod store;
pub mod terms;
