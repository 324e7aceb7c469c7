//! What a game looks like from outside: month, pace, length.

use std::str::FromStr;

use crate::dice::Dice;

/// A calendar month.
#[derive(Clone, Copy, Debug)]
pub struct Month {
    pub year: u32,
    pub month: u32,
}

impl FromStr for Month {
    type Err = String;

    fn from_str(text: &str) -> Result<Month, String> {
        let wrong = || format!("a month is written like 2031-05, not {text:?}");
        let (year, month) = text.split_once('-').ok_or_else(wrong)?;
        let year = year.parse().map_err(|_| wrong())?;
        let month = month.parse().map_err(|_| wrong())?;
        if (1..=12).contains(&month) && (1..=9999).contains(&year) {
            Ok(Month { year, month })
        } else {
            Err(wrong())
        }
    }
}

impl Month {
    pub fn days(self) -> u32 {
        let leap = self.year.is_multiple_of(4) && !self.year.is_multiple_of(100)
            || self.year.is_multiple_of(400);
        match self.month {
            2 if leap => 29,
            2 => 28,
            4 | 6 | 9 | 11 => 30,
            _ => 31,
        }
    }
}

/// A time control. `base` and `increment` in seconds; a base of 0 stands for no clock at all.
#[derive(Clone, Copy)]
pub struct Pace {
    pub word: &'static str,
    pub base: u32,
    pub increment: u32,
    weight: u32,
}

const fn pace(word: &'static str, base: u32, increment: u32, weight: u32) -> Pace {
    Pace { word, base, increment, weight }
}

const PACES: &[Pace] = &[
    pace("bullet", 30, 0, 12),
    pace("bullet", 60, 0, 190),
    pace("bullet", 60, 1, 40),
    pace("bullet", 120, 0, 12),
    pace("blitz", 120, 1, 60),
    pace("blitz", 180, 0, 160),
    pace("blitz", 180, 2, 115),
    pace("blitz", 300, 0, 105),
    pace("blitz", 300, 3, 50),
    pace("blitz", 600, 0, 95),
    pace("rapid", 600, 5, 55),
    pace("rapid", 900, 10, 50),
    pace("rapid", 1200, 0, 12),
    pace("rapid", 1500, 10, 10),
    pace("classical", 1800, 30, 9),
    pace("classical", 3600, 0, 4),
    pace("classical", 5400, 30, 2),
    pace("correspondence", 0, 0, 9),
];

pub fn draw_pace(dice: &mut Dice) -> Pace {
    let drawn = dice.weighted(PACES.iter().map(|pace| pace.weight));
    PACES[drawn.expect("the weights are positive")]
}

/// Length of a game in half-moves: mean 65, one in a hundred under 10, one in a hundred over 150.
pub fn draw_length(dice: &mut Dice) -> usize {
    const STEPS: [f64; 21] = [
        10.0, 23.0, 32.0, 39.0, 45.0, 50.0, 54.0, 58.0, 61.0, 65.0, 68.0, 71.0, 75.0, 79.0, 83.0,
        88.0, 93.0, 100.0, 110.0, 127.0, 165.0,
    ];
    if dice.chance(130) {
        return dice.between(1, 10) as usize;
    }
    let at = dice.unit() * 20.0;
    let step = at as usize;
    let length = STEPS[step] + (STEPS[step + 1] - STEPS[step]) * (at - step as f64);
    length as usize
}
