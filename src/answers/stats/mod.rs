//! Interval estimates and tests: numbers in, numbers out.
//!
//! In come counts (games, wins, draws, losses) and sums; out go values, intervals and p values. Nothing
//! here knows chess, cells or thresholds of sample size, and nothing is rounded. What has no answer
//! (no games, no variance) is `None`, never NaN. All intervals are two-sided 95 % unless a `z` is taken.

mod combine;
mod difference;
mod discovery;
mod gamma;
mod interval;
mod mean;
mod monotone;
mod normal;
mod paths;
mod product;
mod rank;
mod score;
mod share;
mod weighted;

pub use combine::{Part, combine};
pub use difference::{Results, exceeds_by};
pub use discovery::benjamini_hochberg;
pub use interval::Interval;
pub use mean::{Moments, mean_time, time_difference};
pub use monotone::{Fall, falls_below, never_rising};
pub use normal::{Z_95, upper_tail};
pub use paths::{Next, PathId, PathSum};
pub use product::{Factor, product, product_interval};
pub use rank::{Comparison, compare_counts};
pub use score::{mean_score, tango, tango_at};
pub use share::{share, wilson, wilson_at};
pub use weighted::{FactorId, WeightedProducts, needs_pooling};
