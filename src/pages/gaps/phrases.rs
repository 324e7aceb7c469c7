//! Phrases that several of the pages use.

use shakmaty::Color;

use crate::answers::Figure;
use crate::answers::gaps::Gap;
use crate::pages::figures::Unit;
use crate::pages::numbers::{count, one_in};
use crate::pages::words;

/// `Black's move 6`.
pub(super) fn half_move(ply: u16) -> String {
    let side = if ply % 2 == 1 { Color::White } else { Color::Black };
    format!("{}'s move {}", words::side(side), ply.div_ceil(2))
}

/// `met in 1 of 9.1 games`, for sentences; of too few games the ends of the interval.
pub(super) fn met(rate: &Figure) -> String {
    let of = |share: f64| one_in(share).replace("1 in", "1 of");
    let number = |share: f64| one_in(share).replace("1 in ", "");
    match (rate.value, rate.low, rate.high) {
        (Some(value), ..) if value > 0.5 => {
            format!("met in {} % of the games", Unit::Share.view(rate).value())
        }
        (Some(value), ..) => format!("met in {} games", of(value)),
        (None, Some(low), Some(high)) if low > 0.0 => {
            format!("met in 1 of {} to {} games", number(high), number(low))
        }
        (None, Some(_), Some(high)) => format!("met in {} games at the most", of(high)),
        _ => format!("met in too few games to tell ({})", count(rate.n)),
    }
}

/// The line of a gap with the move.
pub(super) fn whole_line(gap: &Gap) -> String {
    match gap.line.is_empty() {
        true => gap.mv.numbered.clone(),
        // Black's move follows White's without its number.
        false if gap.ply.is_multiple_of(2) => format!("{} {}", gap.line, gap.mv.san),
        false => format!("{} {}", gap.line, gap.mv.numbered),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn half_moves_are_told_as_moves_of_a_side() {
        assert_eq!([11, 12].map(half_move), ["White's move 6", "Black's move 6"]);
    }

    #[test]
    fn what_is_met_is_one_of_so_many_or_a_range_of_that() {
        let rate = |value, low, high| Figure {
            value,
            low: Some(low),
            high: Some(high),
            k: Some(3),
            n: 30,
            n_eff: 30.0,
            withheld: None,
        };
        assert_eq!(met(&rate(Some(0.1), 0.05, 0.2)), "met in 1 of 10 games");
        assert_eq!(met(&rate(None, 0.05, 0.2)), "met in 1 of 5 to 20 games");
        assert_eq!(met(&rate(None, 0.0, 0.2)), "met in 1 of 5 games at the most");
        assert_eq!(met(&rate(Some(0.75), 0.5, 0.9)), "met in 75.0 % of the games");
    }
}
