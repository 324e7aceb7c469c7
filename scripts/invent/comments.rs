//! Clocks and evaluations beside the moves.

use shakmaty::Color;

use crate::dice::Dice;
use crate::shape::Pace;

/// Both clocks of a game, in tenths of a second.
pub struct Clocks {
    pace: Pace,
    left: [i32; 2],
}

/// What is known about a move when its thinking time is drawn.
pub struct Thinking {
    pub book: bool,
    /// Percent of the ordinary time, for planted choices.
    pub percent: Option<f64>,
    /// The mover's own, in parts of the ordinary time.
    pub slowness: f64,
    /// Moves the mover has still to make, if the mover is going to lose on time.
    pub losing_on_time: Option<u32>,
}

impl Clocks {
    pub fn new(pace: Pace) -> Clocks {
        Clocks { pace, left: [10 * pace.base as i32; 2] }
    }

    /// The mean of the whole seconds by which two readings will differ, the increment added, if
    /// this much of the ordinary time is spent on average: over every tenth that may be drawn, in
    /// millionths of a second.
    pub fn planted_micros(&self, mover: Color, percent: f64) -> u64 {
        let left = self.left[mover as usize];
        let mean = self.ordinary() * percent / 100.0;
        let (most, increment) = (left / 4, 10 * self.pace.increment as i32);
        let below = |tenths: i32| Dice::skewed_below(f64::from(tenths) / mean);
        let seconds = (0..=most).map(|spent| {
            let chance = if spent == most { 1.0 } else { below(spent + 1) } - below(spent);
            let read = left / 10 + self.pace.increment as i32 - (left + increment - spent) / 10;
            chance * f64::from(read.max(0))
        });
        (1_000_000.0 * seconds.sum::<f64>()) as u64
    }

    /// The ordinary time on a move, in tenths of a second.
    fn ordinary(&self) -> f64 {
        10.0 * f64::from(self.pace.base + 35 * self.pace.increment) / 42.0
    }

    /// Spends time on a move and returns the whole seconds shown afterwards. A side's first
    /// move is free.
    pub fn spend(&mut self, mover: Color, ply: usize, thinking: &Thinking, dice: &mut Dice) -> u32 {
        let ordinary = self.ordinary();
        let left = &mut self.left[mover as usize];
        if ply >= 2 {
            let mean = match (thinking.percent, thinking.book, thinking.losing_on_time) {
                (Some(percent), ..) => ordinary * (thinking.slowness * percent) / 100.0,
                (None, true, _) => ordinary * 0.4 * thinking.slowness,
                (None, false, Some(moves)) => f64::from(*left) / f64::from(moves + 1) * 1.3,
                (None, false, None) => ordinary * 1.1 * thinking.slowness,
            };
            let spent = (mean * dice.skewed()) as i32;
            // Players who are short of time hurry.
            let spent = spent.min(*left / 4);
            *left += 10 * self.pace.increment as i32 - spent;
        }
        (*left / 10) as u32
    }
}

/// A running evaluation, centipawns from White's view; 30,000 less n is a mate in n.
pub struct Evaluation(pub i32);

impl Evaluation {
    /// Around 0.2 while the book lasts.
    pub fn in_book(&mut self, dice: &mut Dice) {
        self.0 = (self.0 * 3 + 20) / 4 + dice.between(-14, 14);
    }

    /// A step of a bounded walk that tends to `goal`, `noise` centipawns wide.
    pub fn walk(&mut self, goal: i32, noise: f64, dice: &mut Dice) {
        let from = self.0.clamp(-1500, 1500);
        let step = (goal - from) / 14 + (noise * dice.normal()) as i32;
        self.0 = (from + step).clamp(-2200, 2200);
        if self.0.abs() > 900 && dice.chance(1500) {
            self.0 = self.0.signum() * (30_000 - dice.between(2, 9));
        }
    }
}
