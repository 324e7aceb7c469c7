//! What of the pages of `trap` is shown, and what a trap is called there.

use crate::answers::trap::TrapReport;
use crate::pages::board::BoardStyle;
use crate::pages::words::{self, clean};

/// What of an answer is shown, and how.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct View {
    /// A sheet for each of several traps, behind their table.
    pub each: bool,
    /// How boards are drawn.
    pub board: BoardStyle,
}

/// What the trap is called: its name, else the opening's.
pub(super) fn title(trap: &TrapReport) -> String {
    let name = clean(&trap.name);
    match (&trap.opening, name.is_empty()) {
        (_, false) => name,
        (Some(opening), true) => clean(opening),
        (None, true) => format!("{} for {}", clean(&trap.slip), words::side(trap.setter)),
    }
}
