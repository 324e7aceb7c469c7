//! The figures over stores, each said once: its column, its names, its units and where it is.

use crate::answers::months::{Change, TrapMonths};
use crate::pages::figures::Unit;

/// A figure of a trap over stores.
pub(super) struct MonthFigure {
    /// Its column in CSV.
    pub key: &'static str,
    /// What the table says above it.
    pub head: &'static str,
    /// What the picture says above it.
    pub drawn: &'static str,
    /// The figure within a sentence.
    pub said: &'static str,
    /// In a store.
    pub unit: Unit,
    pub change: Unit,
    pub of: fn(&TrapMonths) -> &Change,
}

/// All of them, in order.
pub(super) static FIGURES: [MonthFigure; 4] = [
    MonthFigure {
        key: "occurrence",
        head: "occurrence %",
        drawn: "reached, %",
        said: "how often the position is reached",
        unit: Unit::Share,
        change: Unit::Edge,
        of: |trap| &trap.occurrence,
    },
    MonthFigure {
        key: "slip_rate",
        head: "slip rate %",
        drawn: "slip, %",
        said: "the share that slips",
        unit: Unit::Share,
        change: Unit::Edge,
        of: |trap| &trap.slip_rate,
    },
    MonthFigure {
        key: "find_rate",
        head: "find rate %",
        drawn: "refute, %",
        said: "the share that refutes",
        unit: Unit::Share,
        change: Unit::Edge,
        of: |trap| &trap.find_rate,
    },
    MonthFigure {
        key: "slips_per_1000",
        head: "slips per 1000",
        drawn: "slips per 1000",
        said: "slips per 1000",
        unit: Unit::Number,
        change: Unit::Points,
        of: |trap| &trap.slips_per_1000,
    },
];
