//! Interval estimates and tests: numbers in, numbers out.
//!
//! In come counts (games, wins, draws, losses) and sums; out go values, intervals and p values.
//! Nothing here knows chess, cells or thresholds of sample size, and nothing is rounded. What has
//! no answer (no games, no variance) is `None`, never NaN. All intervals are two-sided 95 % unless
//! a `z` is taken.
//!
//! Wilson for shares: right near 0 and 1, where slips are. Tango's score interval of wins against
//! losses for mean scores: equal to Wilson without draws, and it keeps a width when all games end
//! alike. For a product of shares log-normal from Jeffreys posteriors: it stays within 0 to 1 also
//! when one factor has no hit. Means of seconds are gamma distributed at the mix of paces that was
//! seen: pooled over the paces, a normal interval of 50 games held the truth in 83 %.
//! `tests/it/coverage` draws leagues whose truth is known and counts how often each printed
//! interval holds it (`tests/golden/coverage.md`).
#![doc = include_str!("../../pages/help/margins.md")]

mod answers;
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

pub use answers::{ANSWERED_FROM, Answers};
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
pub use mean::{Moments, mean_time, time_difference};
pub use monotone::{Fall, falls_below, never_rising};
pub use normal::{Z_95, upper_tail};
pub use paths::{Next, PathId, PathSum};
pub use predictive::predictive_range;
pub use product::{Factor, product, product_interval};
pub use rank::{Comparison, compare_counts};
pub use score::{mean_score, tango};
pub use share::{share, wilson};
pub use student::{GROUPS, T_95, t_multiplier};
pub use trend::{Dated, GroupErrors, change_a_month};
pub use weighted::{FactorId, WeightedProducts, needs_pooling};
