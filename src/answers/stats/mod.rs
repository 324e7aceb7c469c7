//! Interval estimates and tests: numbers in, numbers out.
//!
//! In come counts (games, wins, draws, losses) and sums; out go values, intervals and p values. Nothing
//! here knows chess, cells or thresholds of sample size, and nothing is rounded. What has no answer
//! (no games, no variance) is `None`, never NaN. All intervals are two-sided 95 % unless a `z` is taken.

mod bands;
mod calibration;
mod combine;
mod difference;
mod discovery;
mod gamma;
mod groups;
mod interval;
mod margin;
mod mean;
mod monotone;
mod normal;
mod paths;
mod predictive;
mod product;
mod rank;
mod score;
mod share;
mod student;
mod trend;
mod weighted;

pub use bands::{BandChoice, BandLine, OWN_SHARE_FROM, pools};
pub use calibration::{CalibrationSums, Level, Slope};
pub use combine::{Part, combine, combine_with};
pub use difference::{Results, exceeds_by};
pub use discovery::{benjamini_hochberg, selected_miss};
pub use groups::{
    ByGroup, DesignEffect, FINDING_CORRELATION, GroupedShare, SCORE_CORRELATION, TIME_CORRELATION,
    design_effect_of_residuals, games_a_player, occurrence_effect, occurrence_margin,
};
pub use interval::Interval;
pub use margin::Margin;
pub use mean::{Moments, mean_time_at, time_difference};
pub use monotone::{Fall, falls_below_at, never_rising};
pub use normal::{Z_95, upper_tail};
pub use paths::{Next, PathId, PathSum};
pub use predictive::predictive_range;
pub use product::{Factor, product, product_interval, product_interval_at};
pub use rank::{Comparison, compare_counts, compare_counts_at};
pub use score::{mean_score, tango, tango_at};
pub use share::{share, wilson, wilson_at};
pub use student::{GROUPS, T_95, t_multiplier};
pub use trend::{Dated, GroupErrors, change_a_month};
pub use weighted::{FactorId, WeightedProducts, needs_pooling};
