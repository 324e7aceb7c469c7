//! Time spent on a move, from one clock reading to the next.

/// Both players' last clock readings.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Clocks {
    last: [Option<u32>; 2],
}

impl Clocks {
    /// Takes the reading after the move number `ply` (0 is White's first), in tenths of a second,
    /// and tells the time spent: previous own reading - this reading + increment, not below 0.
    /// `None` for a side's first move and where a reading or the increment (seconds) is missing.
    pub(super) fn spent(
        &mut self,
        ply: usize,
        reading: Option<u32>,
        increment: Option<u32>,
    ) -> Option<u32> {
        let previous = std::mem::replace(&mut self.last[ply % 2], reading)?;
        let before = i64::from(previous) + i64::from(increment?) * 10;
        u32::try_from((before - i64::from(reading?)).max(0)).ok()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn time_spent_is_the_difference_of_own_readings_and_the_increment() {
        let mut clocks = Clocks::default();
        assert_eq!(clocks.spent(0, Some(3000), Some(3)), None);
        assert_eq!(clocks.spent(1, Some(3000), Some(3)), None);
        assert_eq!(clocks.spent(2, Some(2950), Some(3)), Some(80));
        assert_eq!(clocks.spent(3, Some(3030), Some(3)), Some(0));
        assert_eq!(clocks.spent(4, Some(2990), Some(3)), Some(0));
    }

    #[test]
    fn a_missing_reading_hides_two_moves() {
        let mut clocks = Clocks::default();
        clocks.spent(0, Some(600), Some(0));
        assert_eq!(clocks.spent(2, None, Some(0)), None);
        assert_eq!(clocks.spent(4, Some(500), Some(0)), None);
        assert_eq!(clocks.spent(6, Some(480), Some(0)), Some(20));
    }

    #[test]
    fn without_an_increment_nothing_is_known() {
        let mut clocks = Clocks::default();
        clocks.spent(0, Some(600), None);
        assert_eq!(clocks.spent(2, Some(500), None), None);
    }
}
