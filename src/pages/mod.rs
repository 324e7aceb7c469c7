//! Pages: answers as tables for people, JSON and CSV for programs.
//!
//! In: the structs of [`crate::answers`], and counts for the export. Out: bytes on any
//! [`std::io::Write`]; nothing here opens a file or prints. Text pages are ASCII but for names and,
//! where asked, the pieces of a board, fit 80 columns, use no colours, and end with what the answer
//! rests on: paces, ratings, limits. No rate stands without its count and its interval; a withheld
//! figure is `-` with its games and the reason.
//!
//! CSV and JSON hold numbers in full precision; a withheld one is empty or null.
#![doc = include_str!("help/formats.md")]

pub mod about;
mod across;
mod board;
pub mod build;
pub mod claims;
pub mod export;
mod figures;
mod fitted;
pub mod gaps;
pub mod help;
pub mod hunt;
mod icicle;
#[cfg(test)]
mod kit;
pub mod languages;
mod layout;
pub mod lesson;
pub mod map;
pub mod months;
pub mod moves;
mod numbers;
mod output;
mod patterns;
mod safe;
pub mod slopes;
pub mod student;
mod svg;
mod template;
pub mod trap;
mod whisker;
mod words;

pub use board::BoardStyle;
pub use output::json;
pub use safe::{Safe, one_line};
pub use words::{left_out as why_left_out, not_counted};
