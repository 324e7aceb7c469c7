//! What tests of traps ask, and of which one.

use super::{TrapReport, judge};
use crate::answers::Question;
use crate::answers::kit::{ModelCounts, trap};
use crate::lines::Trap;

/// Black lays a trap: after this bait 4. Nxe5 is met by Qg5.
pub const BAIT: &str = "e4 e5 Nf3 Nc6 Bc4 Nd4";

/// The same as a trap.
pub fn laid_by_black() -> Trap {
    trap(&format!("{BAIT} Nxe5 Qg5"), 6)
}

/// Everything of so many games.
pub fn ask(min_sample: u64) -> Question {
    Question { min_sample, ..Question::default() }
}

/// All that `trap` says.
pub fn report(counts: &ModelCounts, trap: &Trap, question: &Question) -> TrapReport {
    let Ok(report) = judge(counts, trap, question);
    report
}

/// Fails unless the value is known and as wanted.
#[track_caller]
pub fn near(value: Option<f64>, want: f64) {
    let value = value.expect("a known value");
    assert!((value - want).abs() < 1e-9, "{value}, want {want}");
}
