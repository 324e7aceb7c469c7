//! Numbers in words, for what a claim was judged by.

use super::{Figure, Withheld};

/// A fraction as a percentage with about three digits: `31.2 %`, `0.043 %`.
fn percent(fraction: f64) -> String {
    let percent = 100.0 * fraction;
    let digits = match percent {
        p if p >= 10.0 || p == 0.0 => 1,
        p if p >= 1.0 => 2,
        _ => 3,
    };
    format!("{percent:.digits$} %")
}

/// `31.2 % [28.0 %, 34.6 %]`; none where withheld.
pub(super) fn percents(figure: &Figure) -> Option<String> {
    let (value, low, high) = (figure.value?, figure.low?, figure.high?);
    Some(format!("{} [{}, {}]", percent(value), percent(low), percent(high)))
}

/// `+0.195 [+0.077, +0.277]`; none where withheld.
pub(super) fn signed(figure: &Figure) -> Option<String> {
    let (value, low, high) = (figure.value?, figure.low?, figure.high?);
    Some(format!("{value:+.3} [{low:+.3}, {high:+.3}]"))
}

/// `25 games, 50 needed`.
pub(super) fn reason(why: Option<&Withheld>) -> String {
    match why {
        Some(Withheld::TooFewGames { n: 0, .. }) => "no games".into(),
        Some(Withheld::TooFewGames { n, needed }) => {
            format!("{n} {}, {needed} needed", if *n == 1 { "game" } else { "games" })
        }
        _ => String::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn small_numbers_keep_their_digits() {
        assert_eq!(
            [0.312, 0.0312, 0.00043, 0.0].map(percent),
            ["31.2 %", "3.12 %", "0.043 %", "0.0 %"]
        );
    }
}
