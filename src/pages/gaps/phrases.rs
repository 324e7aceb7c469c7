//! Phrases that several of the pages use.

use shakmaty::Color;

use crate::answers::Figure;
use crate::answers::gaps::Gap;
use crate::pages::figures::Unit;
use crate::pages::numbers::{count, of_games};
use crate::pages::words;

/// `Black's move 6`.
pub(super) fn half_move(ply: u16) -> String {
    let side = if ply % 2 == 1 { Color::White } else { Color::Black };
    format!("{}'s move {}", words::side(side), ply.div_ceil(2))
}

/// `met in 1 of 23 games`, for sentences; of too few games the ends of the interval. No square
/// brackets, since in a PGN file a line that begins with one looks like a tag.
pub(super) fn met(rate: &Figure) -> String {
    match (rate.value, rate.low.zip(rate.high)) {
        (Some(value), _) => format!("met in {}", of_games(value)),
        (None, Some(_)) => {
            let ends = Unit::Share.view(rate).interval().replace(", ", " to ");
            format!("met in {} % of games", ends.trim_matches(['[', ']']))
        }
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
        assert_eq!(met(&rate(None, 0.05, 0.2)), "met in 5.0 to 20.0 % of games");
        assert_eq!(met(&rate(Some(0.75), 0.5, 0.9)), "met in 75.0 % of games");
    }
}
