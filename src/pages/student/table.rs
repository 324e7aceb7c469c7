//! The figures of a habit and of a trap, each said once: its column in CSV, its head in
//! tables, its unit.

use crate::answers::Figure;
use crate::answers::student::{Habit, TrapRow};
use crate::pages::figures::Unit;

pub(super) struct EntryFigure<T> {
    /// Its column in CSV.
    pub key: &'static str,
    /// What the table of the page says above it; none if it is not there.
    pub head: Option<&'static str>,
    pub unit: Unit,
    pub of: fn(&T) -> &Figure,
}

/// Those of a habit.
pub(super) static HABIT: [EntryFigure<Habit>; 6] = [
    EntryFigure { key: "share", head: None, unit: Unit::Share, of: |habit| &habit.share },
    EntryFigure { key: "edge", head: Some("edge %"), unit: Unit::Edge, of: |habit| &habit.edge },
    EntryFigure {
        key: "better_edge",
        head: Some("better %"),
        unit: Unit::Edge,
        of: |habit| &habit.better.edge,
    },
    EntryFigure {
        key: "better_share",
        head: None,
        unit: Unit::Share,
        of: |habit| &habit.better.share,
    },
    EntryFigure { key: "difference", head: None, unit: Unit::Edge, of: |habit| &habit.difference },
    EntryFigure {
        key: "cost_per_100_games",
        head: Some("cost"),
        unit: Unit::Number,
        of: |habit| &habit.cost_per_100_games,
    },
];

/// Those of a trap.
pub(super) static TRAP: [EntryFigure<TrapRow>; 3] = [
    EntryFigure {
        key: "level_slip_rate",
        head: Some("level slips %"),
        unit: Unit::Share,
        of: |trap| &trap.level_slip_rate,
    },
    EntryFigure {
        key: "level_find_rate",
        head: Some("level finds %"),
        unit: Unit::Share,
        of: |trap| &trap.level_find_rate,
    },
    EntryFigure {
        key: "trap_cost_per_100_games",
        head: None,
        unit: Unit::Number,
        of: |trap| &trap.cost_per_100_games,
    },
];
