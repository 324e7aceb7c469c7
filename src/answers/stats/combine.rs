//! The interval of a function of several independent estimates, from their own intervals.

use super::interval::Interval;

/// One estimate that a combined value is made of.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Part {
    /// By how much the combined value moves per unit of this estimate (its partial derivative at
    /// the estimates).
    pub derivative: f64,
    /// The estimate, in its own unit.
    pub estimate: f64,
    /// The 95 % interval of the estimate; it need not be symmetric.
    pub interval: Interval,
}

impl Part {
    /// A part from its derivative, estimate and interval.
    pub fn new(derivative: f64, estimate: f64, interval: Interval) -> Self {
        Self { derivative, estimate, interval }
    }

    /// Distance that the value may fall because of this part.
    fn fall(&self) -> f64 {
        let end = if self.derivative < 0.0 { self.interval.high } else { self.interval.low };
        self.derivative * (self.estimate - end)
    }

    /// Distance that the value may rise because of this part.
    fn rise(&self) -> f64 {
        let end = if self.derivative < 0.0 { self.interval.low } else { self.interval.high };
        self.derivative * (end - self.estimate)
    }
}

/// The 95 % interval of `value`, a function of independent `parts`, by variance recovery ("MOVER",
/// square and add).
///
/// G. Y. Zou and A. Donner 2008, Statistics in Medicine 27:1693-1702. Exact in form for sums and
/// differences; for products the derivatives at the estimates linearise. With two Wilson intervals
/// and derivatives 1 and -1 it is Newcombe's interval of a difference. Without parts the interval
/// is the value alone.
pub fn combine(value: f64, parts: &[Part]) -> Interval {
    let fall = parts.iter().map(|part| part.fall().powi(2)).sum::<f64>();
    let rise = parts.iter().map(|part| part.rise().powi(2)).sum::<f64>();
    Interval::new(value - fall.sqrt(), value + rise.sqrt())
}

/// [`combine`] for parts of which the terms `a` and `b` (derivative times estimate) have errors
/// with this correlation, -1 to 1 (same source).
pub fn combine_with(
    value: f64,
    parts: &[Part],
    correlation: impl Fn(usize, usize) -> f64,
) -> Interval {
    let side = |of: fn(&Part) -> f64| {
        let mut sum = 0.0;
        for (a, first) in parts.iter().enumerate() {
            sum += of(first).powi(2);
            for (b, second) in parts.iter().enumerate().take(a) {
                sum += 2.0 * correlation(a, b) * of(first) * of(second);
            }
        }
        sum.max(0.0).sqrt()
    };
    Interval::new(value - side(Part::fall), value + side(Part::rise))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn without_parts_the_interval_is_the_value() {
        assert_eq!(combine(0.3, &[]), Interval::point(0.3));
    }

    #[test]
    fn one_part_keeps_its_own_interval() {
        let own = Interval::new(0.25, 0.75);
        assert_eq!(combine(0.5, &[Part::new(1.0, 0.5, own)]), own);
        assert_eq!(combine(-1.0, &[Part::new(-2.0, 0.5, own)]), own.scale(-2.0));
    }

    /// Legs of 3 and 4: 5 if independent, 7 and 1 if the errors add up or cancel.
    #[test]
    fn errors_that_hang_together_add_up_or_cancel() {
        let parts = [
            Part::new(1.0, 10.0, Interval::new(7.0, 16.0)),
            Part::new(-2.0, 5.0, Interval::new(1.0, 7.0)),
        ];
        assert_eq!(combine_with(0.0, &parts, |_, _| 1.0), Interval::new(-7.0, 14.0));
        assert_eq!(combine_with(0.0, &parts, |_, _| 0.0), combine(0.0, &parts));
        assert_eq!(combine_with(0.0, &parts, |_, _| -1.0), Interval::new(-1.0, 2.0));
    }

    /// Hand-computed: legs of 3 and 4 below, 6 and 8 above, the second part entering negatively.
    #[test]
    fn each_end_comes_from_the_side_that_moves_the_value_there() {
        let parts = [
            Part::new(1.0, 10.0, Interval::new(7.0, 16.0)),
            Part::new(-2.0, 5.0, Interval::new(1.0, 7.0)),
        ];
        assert_eq!(combine(0.0, &parts), Interval::new(-5.0, 10.0));
    }

    #[test]
    fn a_derivative_below_one_shrinks_the_distances() {
        let part = Part::new(0.5, 2.0, Interval::new(1.0, 4.0));
        assert_eq!(combine(1.0, &[part]), Interval::new(0.5, 2.0));
    }

    /// No three errors can all be opposite; what rounding makes of nearly that must not turn a
    /// square negative.
    #[test]
    fn a_sum_of_squares_is_never_negative() {
        let parts = [Part::new(1.0, 0.0, Interval::new(-1.0, 1.0)); 3];
        assert_eq!(combine_with(0.0, &parts, |_, _| -1.0), Interval::point(0.0));
    }

    proptest! {
        #[test]
        fn the_value_is_inside_and_another_part_never_narrows(
            raw in prop::collection::vec((-3.0..3.0f64, -1.0..1.0f64, 0.0..1.0f64, 0.0..1.0f64), 1..6)
        ) {
            let parts: Vec<Part> = raw
                .iter()
                .map(|&(d, e, below, above)| Part::new(d, e, Interval::new(e - below, e + above)))
                .collect();
            let whole = combine(0.0, &parts);
            let fewer = combine(0.0, &parts[1..]);
            prop_assert!(whole.contains(0.0));
            prop_assert!(whole.low <= fewer.low && fewer.high <= whole.high);
        }
    }
}
