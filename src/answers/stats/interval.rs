//! A closed interval of real numbers and what a linear map does to it.

/// A closed interval, `low <= high`, in the unit of the value it belongs to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Interval {
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

impl Interval {
    /// The interval from `low` to `high`.
    pub fn new(low: f64, high: f64) -> Self {
        debug_assert!(low <= high, "an interval needs low <= high: {low}, {high}");
        Self { low, high }
    }

    /// The interval that holds `value` alone.
    pub fn point(value: f64) -> Self {
        Self::new(value, value)
    }

    /// Upper end minus lower end.
    pub fn width(self) -> f64 {
        self.high - self.low
    }

    /// Whether `value` lies inside, ends included.
    pub fn contains(self, value: f64) -> bool {
        self.low <= value && value <= self.high
    }

    /// Both ends moved by `by`.
    pub fn shift(self, by: f64) -> Self {
        Self::new(self.low + by, self.high + by)
    }

    /// Both ends multiplied by `by`; a negative constant swaps them.
    pub fn scale(self, by: f64) -> Self {
        let (low, high) = (self.low * by, self.high * by);
        if by < 0.0 { Self::new(high, low) } else { Self::new(low, high) }
    }

    /// The smallest interval that holds this one and `value`.
    pub fn including(self, value: f64) -> Self {
        Self::new(self.low.min(value), self.high.max(value))
    }
}

#[cfg(test)]
mod tests {
    use super::Interval;
    use proptest::prelude::*;

    #[test]
    fn a_negative_scale_swaps_the_ends() {
        assert_eq!(Interval::new(1.0, 3.0).scale(-2.0), Interval::new(-6.0, -2.0));
        assert_eq!(Interval::new(1.0, 3.0).scale(2.0), Interval::new(2.0, 6.0));
    }

    #[test]
    fn including_a_value_moves_only_the_nearer_end() {
        let interval = Interval::new(0.25, 0.5);
        assert_eq!(interval.including(0.0), Interval::new(0.0, 0.5));
        assert_eq!(interval.including(1.0), Interval::new(0.25, 1.0));
        assert_eq!(interval.including(0.3), interval);
    }

    #[test]
    fn ends_are_inside_and_what_lies_beyond_is_not() {
        let interval = Interval::new(0.25, 0.5);
        assert!(interval.contains(0.25) && interval.contains(0.5));
        assert!(!interval.contains(0.2) && !interval.contains(0.6));
    }

    proptest! {
        #[test]
        fn linear_maps_carry_members_along(low in -9.0..9.0f64, width in 0.0..9.0f64, t in 0.0..=1.0f64, by in -9.0..9.0f64) {
            let interval = Interval::new(low, low + width);
            let member = (low + t * width).min(interval.high);
            prop_assert!(interval.contains(member));
            prop_assert!(interval.shift(by).contains(member + by));
            prop_assert!(interval.scale(by).contains(member * by));
            prop_assert!((interval.shift(by).width() - width).abs() < 1e-12);
        }
    }
}
