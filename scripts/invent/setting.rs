//! The circumstances of one game.

use shakmaty::Color;

use crate::habits::Character;
use crate::kinds::Kind;
use crate::shape::Pace;

/// Who is how strong, at what pace, and what is written down.
pub struct Setting {
    pub kind: Kind,
    pub pace: Pace,
    pub white: i32,
    pub black: i32,
    /// White's and Black's.
    pub characters: [Character; 2],
    pub clocks: bool,
    pub evals: bool,
    /// Chance of a loss on time instead of a resignation, in 1/10,000.
    pub time_forfeits: u32,
    pub fen: Option<&'static str>,
    /// Both players know their book and stay in it.
    pub bookish: bool,
    /// Both players follow this trap's line to the trap position: last club night was about it.
    pub fashion: Option<usize>,
}

impl Setting {
    pub fn rating(&self, side: Color) -> i32 {
        side.fold_wb(self.white, self.black)
    }

    pub fn character(&self, side: Color) -> Character {
        let [white, black] = self.characters;
        side.fold_wb(white, black)
    }

    /// Chance to leave the book here, in 1/10,000: less for stronger players, more after
    /// the first moves.
    pub fn strays(&self, rating: i32, ply: usize) -> u32 {
        if self.bookish {
            return 0;
        }
        let weakness = (2400 - rating).clamp(0, 1800) as u32;
        let early = match ply {
            0 => 1,
            1..=2 => 3,
            3..=5 => 4,
            _ => 3,
        };
        (130 + weakness / 3) * early
    }
}
