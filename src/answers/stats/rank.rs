//! Which of two moves in one position is played more often.

use super::margin::Margin;

/// How two counts compare, beyond chance at 95 %.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Comparison {
    /// The first is larger.
    Greater,
    /// The first is smaller.
    Less,
    /// The data does not tell.
    Unclear,
}

/// Compares two counts of the same multinomial sample at the margin of the position: (a - b) /
/// sqrt(D (a + b)) against the quantile.
///
/// Given the a + b games that chose one of the two, equal preference makes `a` binomial with p =
/// 1/2; this is that binomial's normal statistic (the square root of Q. McNemar's, 1947,
/// Psychometrika 12:153-157). Two zeros are unclear.
pub fn compare_counts(a: u64, b: u64, margin: Margin) -> Comparison {
    if a == b {
        return Comparison::Unclear;
    }
    let z = (a as f64 - b as f64) / (a as f64 + b as f64).sqrt();
    if z >= margin.z() {
        Comparison::Greater
    } else if z <= -margin.z() {
        Comparison::Less
    } else {
        Comparison::Unclear
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn nothing_against_nothing_is_unclear() {
        assert_eq!(compare_counts(0, 0, Margin::INDEPENDENT), Comparison::Unclear);
    }

    /// From the formula: 4 - 0 gives z = 2, 3 - 0 gives 1.73, 60 - 40 gives 2, 59 - 41 gives 1.8.
    #[test]
    fn the_border_lies_at_two_standard_errors() {
        assert_eq!(compare_counts(4, 0, Margin::INDEPENDENT), Comparison::Greater);
        assert_eq!(compare_counts(3, 0, Margin::INDEPENDENT), Comparison::Unclear);
        assert_eq!(compare_counts(60, 40, Margin::INDEPENDENT), Comparison::Greater);
        assert_eq!(compare_counts(41, 59, Margin::INDEPENDENT), Comparison::Unclear);
        assert_eq!(compare_counts(40, 60, Margin::INDEPENDENT), Comparison::Less);
    }

    /// 60 - 40 with D = 2: z = 2 / sqrt(2) = 1.41; 70 - 30: 4 / sqrt(2) = 2.83.
    #[test]
    fn players_who_come_again_move_the_border() {
        let margin = Margin::of(2.0);
        assert_eq!(compare_counts(60, 40, margin), Comparison::Unclear);
        assert_eq!(compare_counts(30, 70, margin), Comparison::Less);
    }

    /// 4 - 0 is exactly two standard errors.
    #[test]
    fn the_border_itself_decides() {
        let two = Margin { quantile: 2.0, ..Margin::INDEPENDENT };
        assert_eq!(compare_counts(4, 0, two), Comparison::Greater);
        assert_eq!(compare_counts(0, 4, two), Comparison::Less);
    }

    proptest! {
        #[test]
        fn swapping_the_counts_turns_the_answer(a in 0..1_000_000_000_000u64, b in 0..1_000_000_000_000u64) {
            let back = match compare_counts(b, a, Margin::INDEPENDENT) {
                Comparison::Greater => Comparison::Less,
                Comparison::Less => Comparison::Greater,
                Comparison::Unclear => Comparison::Unclear,
            };
            prop_assert_eq!(compare_counts(a, b, Margin::INDEPENDENT), back);
        }
    }
}
