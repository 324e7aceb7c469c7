//! What everybody says about a position, judged by the counts.
//!
//! `rules` says whether a claim holds, and how many games would decide it; `evaluate` does so for the
//! claims about one position, `list` for a file of them.

mod evaluate;
mod list;
mod rules;

pub use evaluate::{Because, ClaimAnswer, MovesAnswer, evaluate};
pub use list::{ClaimReport, ListedClaim, evaluate_list};
pub use rules::{ABOUT, Answer, Ranks};
