//! What players keep from game to game: the moves they prefer in each position, how strong and how
//! fast they really are.

use crate::dice::Dice;

/// Correlation of the residuals of a player's scores when the choices have their full one (measured
/// on real games: 0.00 to 0.02).
const SCORES: f64 = 0.02;

/// Variance of a score about what the ratings predict, in points squared.
const SCORE_VARIANCE: f64 = 0.23;

/// How much faster or slower than others a player is. A time varies with a variance of 1.18
/// squared means, so that a player's times have the correlation 0.65^2 / (0.65^2 + 1.18 (1 +
/// 0.65^2)) = 0.2.
const PACE: f64 = 0.65;

/// The habits of all players of a league.
#[derive(Clone, Copy)]
pub struct Habits {
    seed: u64,
    /// Share of the choices that follow the habit, in 1/10,000; 0 if there are no habits at all.
    kept: u32,
}

/// What one player is, apart from the rating.
#[derive(Clone, Copy, Default)]
pub struct Character {
    /// The player's number.
    pub number: u32,
    /// Names the player's own dice.
    seed: u64,
    /// Points a game better than the rating says.
    pub strength: f64,
    /// Thinking time in parts of the ordinary one.
    pub slowness: f64,
}

impl Habits {
    /// In any position two choices of a player have this correlation, 0 to 1; with 0 each game is
    /// that of a new person.
    ///
    /// A choice follows the habit with probability sqrt(correlation), independently in each game;
    /// the habit itself is drawn by the same chances as any choice. So the share of a move among
    /// all players is what it is without habits.
    pub fn new(seed: u64, correlation: f64) -> Habits {
        Habits { seed, kept: (10_000.0 * correlation.sqrt()) as u32 }
    }

    /// The character of a player, by number. Half of the players are better, and half are slower.
    pub fn character(self, number: u32) -> Character {
        if self.kept == 0 {
            return Character { number, seed: 0, strength: 0.0, slowness: 1.0 };
        }
        let seed = self.seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) ^ (u64::from(number) + 1);
        let mut dice = Dice::new(seed, 0);
        let mut sign = || if dice.chance(5000) { 1.0 } else { -1.0 };
        let strength = sign() * (SCORES * SCORE_VARIANCE).sqrt();
        Character { number, seed, strength, slowness: 1.0 + sign() * PACE }
    }

    /// The dice of a player's habit in a position, if this choice follows it: the same ones
    /// in every game.
    pub fn dice(self, character: Character, key: u64, dice: &mut Dice) -> Option<Dice> {
        let follows = self.kept > 0 && dice.chance(self.kept);
        follows.then(|| Dice::new(character.seed, key | 1))
    }
}

/// The dice of one choice.
pub struct Hand<'a> {
    /// Those of the habit, if the choice follows it.
    pub own: Option<Dice>,
    /// Those of the game, for all that is no habit.
    pub game: &'a mut Dice,
}

impl Hand<'_> {
    /// What decides between moves.
    pub fn choosing(&mut self) -> &mut Dice {
        self.own.as_mut().unwrap_or(self.game)
    }
}
