//! What everybody says about a position, judged by the counts.
//!
//! `asked` is what a claim says, as data; `rules` says whether a claim holds, and how many
//! games would decide it; `evaluate` does so for the claims about one position, `list` for a
//! file of them.

mod asked;
mod evaluate;
mod list;
mod rules;

pub use asked::{Asked, Measure};
pub use evaluate::{Because, ClaimAnswer, MovesAnswer, Rival, evaluate};
pub use list::{ClaimReport, ListedClaim, evaluate_list};
pub use rules::{ABOUT, Answer, FAR, Ranks};
