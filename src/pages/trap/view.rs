//! How the pages of `trap` are laid out, and what a trap and its moves are called there.

use crate::answers::trap::TrapReport;
use crate::pages::board::BoardStyle;
pub(super) use crate::pages::layout::{PAGE_WIDTH as WIDTH, paragraph};
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

/// `fxe5`, or `fxe5 or Qe7`.
pub(super) fn slips(trap: &TrapReport) -> String {
    match &trap.slips {
        Some(slips) => either(slips.moves.iter().map(|slip| clean(&slip.san))),
        None => clean(&trap.slip),
    }
}

/// `Qh5+`, `Qh5+ or d4`, of several slips `Qh5+ after fxe5 or Nc3 after Qe7`.
pub(super) fn refutations(trap: &TrapReport) -> String {
    let Some(refutations) = &trap.refutations else { return clean(&trap.refutation) };
    let several = trap.slips.is_some();
    either(refutations.moves.iter().map(|mv| match several {
        true => format!("{} after {}", clean(&mv.san), clean(&mv.after)),
        false => clean(&mv.san),
    }))
}

/// `a, b or c`.
pub(super) fn either(moves: impl Iterator<Item = String>) -> String {
    let moves: Vec<String> = moves.collect();
    match moves.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} or {last}", rest.join(", ")),
        _ => moves.concat(),
    }
}
