//! Numbers in words, for sentences.

use shakmaty::Color;

use super::{Mean, Rate};
use crate::counts::{BandRange, MoverFilter};

/// `White` or `Black`.
pub(super) fn color(color: Color) -> &'static str {
    color.fold_wb("White", "Black")
}

/// `Below 2000`, `From 1200 to below 1600 in blitz`: the level at the head of a sentence.
pub(super) fn level(filter: MoverFilter) -> String {
    let BandRange { from, below } = filter.bands;
    let ratings = match (from == 0, below == BandRange::ALL.below) {
        (true, true) => "At all ratings".to_owned(),
        (true, false) => format!("Below {below}"),
        (false, true) => format!("From {from} up"),
        (false, false) => format!("From {from} to below {below}"),
    };
    if filter.paces.is_all() { ratings } else { format!("{ratings} in {}", filter.paces) }
}

/// A fraction as a percentage with about three digits: `31.2 %`, `0.043 %`.
pub(super) fn percent(fraction: f64) -> String {
    let percent = 100.0 * fraction;
    let digits = match percent {
        p if p >= 10.0 || p == 0.0 => 1,
        p if p >= 1.0 => 2,
        _ => 3,
    };
    format!("{percent:.digits$} %")
}

/// `31.2 % [28.0 %, 34.6 %]`; none where withheld.
pub(super) fn percent_interval(rate: &Rate) -> Option<String> {
    let (value, low, high) = (rate.value?, rate.low?, rate.high?);
    Some(format!("{} [{}, {}]", percent(value), percent(low), percent(high)))
}

/// `31.2 % [28.0 %, 34.6 %] of 760 opponents`; none where withheld.
pub(super) fn percent_of(rate: &Rate, whom: &str) -> Option<String> {
    Some(format!("{} of {} {whom}", percent_interval(rate)?, rate.n))
}

/// `+3.2 [+1.0, +5.4]`; none where withheld.
pub(super) fn points(mean: &Mean) -> Option<String> {
    let (value, low, high) = (mean.value?, mean.low?, mean.high?);
    Some(format!("{value:+.1} [{low:+.1}, {high:+.1}]"))
}
