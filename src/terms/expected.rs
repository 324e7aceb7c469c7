//! The score that two ratings predict, in thousandths.

use std::sync::LazyLock;

use super::Rating;

/// Rating difference (0..=3998) to the higher rated side's expected score in thousandths.
static HIGHER: LazyLock<Vec<u16>> = LazyLock::new(|| {
    (0..Rating::MAX)
        .map(|difference| {
            let odds = 10f64.powf(-f64::from(difference) / 400.0);
            (1000.0 / (1.0 + odds)).round() as u16
        })
        .collect()
});

/// Expected score of `ours` against `theirs` in thousandths of a point, 0..=1000:
/// 1 / (1 + 10^((theirs - ours)/400)), the higher rated side's value rounded to the nearest
/// thousandth and the lower rated side given the rest, so that both always add up to 1000.
pub fn expected_milli(ours: Rating, theirs: Rating) -> u16 {
    let higher = HIGHER[usize::from(ours.points().abs_diff(theirs.points()))];
    if ours >= theirs { higher } else { 1000 - higher }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rating(points: u16) -> Rating {
        Rating::new(points).expect("a valid rating")
    }

    #[test]
    fn both_sides_add_up_to_one_point() {
        for theirs in (1..4000).step_by(37) {
            let (a, b) = (rating(1500), rating(theirs));
            assert_eq!(expected_milli(a, b) + expected_milli(b, a), 1000);
        }
    }

    /// FIDE Handbook B.02, Rating Regulations effective from 1 March 2024, table 8.1.2: lower ends
    /// of the ranges of D for PD(H) = .50, .51, ... The formula is a close approximation of the
    /// table: up to 0.015 away for differences to 400, up to 0.0185 beyond.
    #[test]
    fn the_formula_stays_near_the_published_table() {
        let lower_ends = [
            0, 4, 11, 18, 26, 33, 40, 47, 54, 62, 69, 77, 84, 92, 99, 107, 114, 122, 130, 138, 146,
            154, 163, 171, 180, 189, 198, 207, 216, 226, 236, 246, 257, 268, 279, 291, 303, 316,
            329, 345, 358, 375, 392, 412, 433, 457, 485, 518, 560, 620, 736,
        ];
        for difference in 0..=736u16 {
            let row = lower_ends.partition_point(|&end| end <= difference) - 1;
            let table = 0.50 + row as f64 / 100.0;
            let formula = f64::from(expected_milli(rating(1 + difference), rating(1))) / 1000.0;
            let tolerance = if difference <= 400 { 0.015 } else { 0.0185 };
            assert!((table - formula).abs() <= tolerance + 0.0005, "{difference}");
        }
    }

    /// The same handbook, values of the formula to six places, computed with plain arithmetic.
    #[test]
    fn thousandths_are_the_rounded_formula() {
        let rows = [(0, 500), (10, 514), (25, 536), (100, 640), (200, 760), (400, 909), (736, 986)];
        for (difference, milli) in rows {
            assert_eq!(expected_milli(rating(1000 + difference), rating(1000)), milli);
        }
    }
}
