//! What the ratings predict, and how a result is drawn from it.

use crate::dice::Dice;

#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Outcome {
    White,
    Draw,
    Black,
}

/// White's first-move bonus in rating points.
const FIRST_MOVE: i32 = 20;

/// Score expected of a player rated `difference` points higher: 1 / (1 + 10^(-difference / 400)).
/// The power is built by multiplying, so that every machine gets the same bits.
pub fn expectation(difference: i32) -> f64 {
    let steps = difference.unsigned_abs().min(1200);
    let mut power = 1.0;
    for _ in 0..steps {
        power *= 1.005_773_063_380_155_4; // 10^(1/400)
    }
    let higher = power / (power + 1.0);
    if difference >= 0 { higher } else { 1.0 - higher }
}

/// White's ordinary expected score: ratings and the first move.
pub fn ordinary(white: i32, black: i32) -> f64 {
    expectation(white - black + FIRST_MOVE)
}

/// Draws a result whose mean score for White is exactly `score`. Draws rise from 5 % among low
/// ratings to 12 % among high ones, and give way where the score is lopsided.
pub fn draw_outcome(score: f64, rating: i32, dice: &mut Dice) -> Outcome {
    let level = f64::from((rating - 800).clamp(0, 1600)) / 1600.0;
    let room = if score < 0.5 { score } else { 1.0 - score };
    let draws = (0.05 + 0.07 * level).min(room);
    let at = dice.unit();
    if at < draws {
        Outcome::Draw
    } else if at < score + draws / 2.0 {
        Outcome::White
    } else {
        Outcome::Black
    }
}
