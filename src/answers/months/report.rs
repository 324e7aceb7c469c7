//! The structs of the answer.

use serde::Serialize;
use shakmaty::Color;

use crate::answers::Figure;
use crate::answers::moves::color_name;
use crate::counts::Limits;
use crate::terms::MoverFilter;

/// The answer to `trap --over`.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MonthsAnswer {
    /// Whose choices.
    pub filter: MoverFilter,
    /// A figure that rests on fewer games of different players is thin or withheld.
    pub min_sample: u64,
    /// The stores in the order of their dates.
    pub stores: Vec<StoreMonth>,
    /// The traps in the order of the file.
    pub traps: Vec<TrapMonths>,
}

/// A store.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct StoreMonth {
    /// Its file.
    pub name: String,
    /// Date of the first game, as 2031-05-17.
    pub first: String,
    /// Date of the last game.
    pub last: String,
    /// Games without a date.
    pub undated: u64,
    /// Games counted.
    pub games: u64,
    /// The middle of its dates, in months behind that of the first store.
    pub month: f64,
    /// Positions with fewer games than this were dropped.
    pub keep_from: u64,
    /// How far its counts reach.
    #[serde(skip)]
    pub limits: Limits,
}

/// A trap over the stores; figures are those of `trap`.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TrapMonths {
    /// What it is called.
    pub name: String,
    /// Who lays it.
    #[serde(serialize_with = "color_name")]
    pub setter: Color,
    /// The line with its slip marked.
    pub line: String,
    /// How many games may be missing from a position of the line, store by store.
    pub may_lack: Vec<u64>,
    /// Games of the victims as that colour that come to the trap position.
    pub occurrence: Change,
    /// Victims who slip there.
    pub slip_rate: Change,
    /// Setters who refute.
    pub find_rate: Change,
    /// Slips in 1000 steered games.
    pub slips_per_1000: Change,
}

/// A figure in each store, and how it changes.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Change {
    /// The figure, store by store.
    pub by_store: Vec<Figure>,
    /// By how much it grows in a month, in its own unit; withheld if it is in any store.
    pub a_month: Figure,
    /// What that says.
    pub turn: Turn,
}

/// Whether a figure surely changes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Turn {
    /// The whole interval is above 0.
    Rises,
    /// The whole interval is below 0.
    Falls,
    /// It holds 0, or there is none.
    Unclear,
}
