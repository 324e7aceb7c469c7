//! How often intervals hold the truth.

use std::collections::BTreeMap;

use deadfall::answers::Figure;
use deadfall::answers::stats::Interval;

/// The truths inside, below and above the intervals of one method.
#[derive(Clone, Copy, Default)]
pub struct Tally {
    pub inside: u32,
    pub below: u32,
    pub above: u32,
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

    pub fn drawn(&self) -> u32 {
        self.inside + self.below + self.above
    }

    /// The share of the intervals that hold the truth.
    pub fn held(&self) -> f64 {
        f64::from(self.inside) / f64::from(self.drawn().max(1))
    }

    pub fn merge(&mut self, other: Tally) {
        self.inside += other.inside;
        self.below += other.below;
        self.above += other.above;
    }
}

/// The row of shares that show no value.
pub const THIN: &str = "thin shares";

/// Tallies by the name of the figure.
#[derive(Clone, Default)]
pub struct Tallies(pub BTreeMap<String, Tally>);

impl Tallies {
    /// A withheld figure says nothing; the interval of a thin share, which has no value, goes to
    /// those of all thin ones.
    pub fn figure(&mut self, name: &str, figure: &Figure, truth: f64) {
        if let Some((low, high)) = figure.low.zip(figure.high) {
            let name = if figure.value.is_some() { name } else { THIN };
            self.add(name, Interval::new(low, high), truth);
        }
    }

    pub fn add(&mut self, figure: &str, interval: Interval, truth: f64) {
        self.0.entry(figure.to_owned()).or_default().add(interval, truth);
    }

    pub fn merge(mut self, other: Tallies) -> Tallies {
        for (figure, tally) in other.0 {
            self.0.entry(figure).or_default().merge(tally);
        }
        self
    }
}
