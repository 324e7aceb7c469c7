//! The structs of the answer.

#![expect(missing_docs, reason = "`help formats` explains the fields of answers")]

use serde::Serialize;
use shakmaty::Color;

use crate::answers::Figure;
use crate::answers::moves::color_name;
use crate::counts::{Lacking, Limits};
use crate::terms::MoverFilter;

/// The answer to `trap --over`.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MonthsAnswer {
    pub filter: MoverFilter,
    /// A figure that rests on fewer games of different players is thin or withheld.
    pub min_sample: u64,
    pub stores: Vec<StoreMonth>,
    pub traps: Vec<TrapMonths>,
}

#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct StoreMonth {
    pub name: String,
    pub first: String,
    pub last: String,
    pub undated: u64,
    pub games: u64,
    /// The middle of its dates, in months behind that of the first store.
    pub month: f64,
    pub keep_from: u64,
    /// How far its counts reach.
    #[serde(skip)]
    pub limits: Limits,
}

/// A trap over the stores; figures are those of `trap`.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TrapMonths {
    pub name: String,
    #[serde(serialize_with = "color_name")]
    pub setter: Color,
    pub line: String,
    pub may_lack: Vec<Lacking>,
    pub occurrence: Change,
    pub slip_rate: Change,
    pub find_rate: Change,
    pub slips_per_1000: Change,
}

/// A figure in each store, and how it changes.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Change {
    pub by_store: Vec<Figure>,
    /// By how much it grows in a month, in its own unit; withheld if it is in any store.
    pub a_month: Figure,
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
