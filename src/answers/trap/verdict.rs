//! The answer to "is this trap common at this level?", as codes.

use super::report::Code;
use crate::answers::{Cutoffs, Figure};

/// The classes that the interval touches, the more frequent first; all three, or a node of the line
/// below the minimum sample, are too few games.
pub(super) fn codes(slips: &Figure, cutoffs: Cutoffs, thin: bool) -> Vec<Code> {
    if slips.withheld.as_ref().is_some_and(|why| why.beyond().is_some()) {
        return vec![Code::NotCounted];
    }
    let (Some(low), Some(high), false) = (slips.low, slips.high, thin) else {
        return vec![Code::TooFewGames];
    };
    let touched = [
        (Code::Common, high >= cutoffs.common),
        (Code::Occasional, low < cutoffs.common && high >= cutoffs.occasional),
        (Code::Rare, low < cutoffs.occasional),
    ];
    let codes: Vec<Code> =
        touched.into_iter().filter(|(_, touched)| *touched).map(|(code, _)| code).collect();
    if codes.len() == touched.len() { vec![Code::TooFewGames] } else { codes }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::answers::Withheld;
    use crate::answers::stats::Interval;
    use Code::{Common, Occasional, Rare, TooFewGames};

    fn of(low: f64, high: f64) -> Vec<Code> {
        let slips = Figure::known((low + high) / 2.0, Interval::new(low, high), 100);
        codes(&slips, Cutoffs::default(), false)
    }

    #[test]
    fn an_interval_within_one_class_is_that_class() {
        assert_eq!(of(5.0, 9.0), [Common]);
        assert_eq!(of(1.0, 4.9), [Occasional]);
        assert_eq!(of(0.0, 0.99), [Rare]);
    }

    #[test]
    fn an_interval_over_a_cut_off_is_both_classes() {
        assert_eq!(of(4.9, 5.0), [Common, Occasional]);
        assert_eq!(of(0.9, 1.0), [Occasional, Rare]);
    }

    #[test]
    fn an_interval_over_both_cut_offs_is_too_few_games() {
        assert_eq!(of(0.9, 5.0), [TooFewGames]);
    }

    #[test]
    fn a_thin_node_or_no_figure_is_too_few_games() {
        let slips = Figure::known(7.0, Interval::new(6.0, 8.0), 100);
        assert_eq!(codes(&slips, Cutoffs::default(), true), [TooFewGames]);
        let withheld = Figure::withheld(0, Withheld::NoBait);
        assert_eq!(codes(&withheld, Cutoffs::default(), false), [TooFewGames]);
    }
}
