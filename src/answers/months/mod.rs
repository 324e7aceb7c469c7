//! The same traps in several stores, in the order of their dates, and how much their figures
//! change in a month.
//!
//! In: a [`Trap`](crate::lines::Trap), counts of each store and when their games were played. Out:
//! [`TrapMonths`], the figures of `trap` store by store, and the change a month with a margin that
//! knows that players come again ([`crate::answers::stats::change_a_month`]).

mod evidence;
mod judge;
mod report;

pub use judge::{Month, judge_months};
pub use report::{Change, MonthsAnswer, StoreMonth, TrapMonths, Turn};
