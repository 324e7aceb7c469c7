//! How often intervals hold the truth.

use deadfall::answers::stats::Interval;

/// The truths inside, below and above the intervals of one method.
#[derive(Default)]
pub struct Tally {
    inside: u32,
    below: u32,
    above: u32,
}

impl Tally {
    pub fn add(&mut self, interval: Interval, truth: f64) {
        if truth < interval.low {
            self.below += 1;
        } else if truth > interval.high {
            self.above += 1;
        } else {
            self.inside += 1;
        }
    }

    /// Asserts that at least 93 % of the intervals hold the truth: for places on a scale of few steps, where no method meets
    /// 95 % on the dot.
    #[expect(clippy::print_stdout, reason = "--nocapture shows the figures")]
    pub fn assert_safe(&self, what: &str) {
        let (drawn, held) = (self.drawn(), f64::from(self.inside) / f64::from(self.drawn().max(1)));
        println!("{what}: {held:.4} of {drawn} hold the truth");
        assert!(drawn >= 4000 && held >= 0.93, "{what}: coverage {held:.4} of {drawn}");
    }

    fn drawn(&self) -> u32 {
        self.inside + self.below + self.above
    }

    /// Asserts that 93 to 97 % of the intervals hold the truth. From 4000 samples the chance error is 0.35 %, so a right
    /// 95 % interval does not leave that range by chance.
    #[expect(clippy::print_stdout, reason = "--nocapture shows the figures")]
    pub fn assert_95(&self, what: &str) {
        let (drawn, below, above) = (self.drawn(), self.below, self.above);
        let held = f64::from(self.inside) / f64::from(drawn.max(1));
        println!(
            "{what}: {held:.4} of {drawn} hold the truth; {below} truths lie below, {above} above"
        );
        assert!(drawn >= 4000, "{what}: only {drawn} samples");
        assert!((0.93..=0.97).contains(&held), "{what}: coverage {held:.4}");
    }
}
