//! How the pages of `trap` are laid out, and what a trap and its moves are called there.

use crate::answers::trap::{Refutation, TrapReport};
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

/// A move so many half-moves after the trap position, with its number.
fn numbered(trap: &TrapReport, plies: isize, san: &str) -> String {
    words::numbered_from(&trap.trap_fen, plies, san)
}

/// `3...fxe5`, or `3...fxe5 or 3...Qe7`.
pub(super) fn slips(trap: &TrapReport) -> String {
    match &trap.slips {
        Some(slips) => either(slips.moves.iter().map(|slip| numbered(trap, 0, &slip.san))),
        None => numbered(trap, 0, &trap.slip),
    }
}

/// `4.Qh5+`, `4.Qh5+ or 4.d4`, of several slips `4.Qh5+ after 3...fxe5 or 4.Nc3 after 3...Qe7`; one
/// that answers all slips once.
pub(super) fn refutations(trap: &TrapReport) -> String {
    let Some(refutations) = &trap.refutations else { return numbered(trap, 1, &trap.refutation) };
    let one = |mv: &Refutation| mv.san == trap.refutation;
    if refutations.moves.iter().all(one) {
        return numbered(trap, 1, &trap.refutation);
    }
    let several = trap.slips.is_some();
    either(refutations.moves.iter().map(|mv| {
        let reply = numbered(trap, 1, &mv.san);
        if several { format!("{reply} after {}", numbered(trap, 0, &mv.after)) } else { reply }
    }))
}

/// `3.Nxe5`.
pub(super) fn bait(trap: &TrapReport) -> String {
    trap.bait.as_deref().map_or("the bait".into(), |san| numbered(trap, -1, san))
}

/// The most played move instead of the bait, if there is one: `3.Nc3`.
pub(super) fn usual(trap: &TrapReport) -> Option<String> {
    trap.figures.usual.san.as_deref().map(|san| numbered(trap, -1, san))
}

/// `a, b or c`.
pub(super) fn either(moves: impl Iterator<Item = String>) -> String {
    let moves: Vec<String> = moves.collect();
    match moves.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} or {last}", rest.join(", ")),
        _ => moves.concat(),
    }
}
