//! Numbers in words, for sentences.

use shakmaty::Color;

use super::{Mean, Rate};
use crate::terms::{BandRange, MoverFilter};

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

/// `13.4 [9.71, 18.2]`, three digits each; none where withheld.
pub(super) fn number(mean: &Mean) -> Option<String> {
    let (value, low, high) = (mean.value?, mean.low?, mean.high?);
    Some(format!("{} [{}, {}]", digits(value), digits(low), digits(high)))
}

/// About three significant digits of a number that is not negative.
fn digits(number: f64) -> String {
    let places = match number {
        number if number >= 100.0 || number == 0.0 => 0,
        number if number >= 10.0 => 1,
        number if number >= 1.0 => 2,
        _ => 3,
    };
    format!("{number:.places$}")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::answers::stats::Interval;
    use crate::terms::{Pace, PaceSet};

    #[test]
    fn a_level_names_its_ends_and_paces() {
        let level = |from, below| {
            let bands = BandRange::new(from, below).expect("on the edges");
            level(MoverFilter { bands, ..MoverFilter::ALL })
        };
        assert_eq!(level(0, 4000), "At all ratings");
        assert_eq!(level(0, 2000), "Below 2000");
        assert_eq!(level(1200, 4000), "From 1200 up");
        assert_eq!(level(1200, 1600), "From 1200 to below 1600");
        let paces = PaceSet::from_iter([Pace::Blitz, Pace::Rapid]);
        let filter = MoverFilter { paces, ..MoverFilter::ALL };
        assert_eq!(super::level(filter), "At all ratings in blitz, rapid");
    }

    #[test]
    fn small_numbers_keep_their_digits() {
        assert_eq!(
            [0.312, 0.0312, 0.00043, 0.0].map(percent),
            ["31.2 %", "3.12 %", "0.043 %", "0.0 %"]
        );
        let mean = Mean::known(13.42, Interval::new(0.97123, 182.4), 9);
        assert_eq!(number(&mean).expect("known"), "13.4 [0.971, 182]");
        assert_eq!(points(&mean).expect("known"), "+13.4 [+1.0, +182.4]");
    }
}
