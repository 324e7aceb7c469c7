//! The players of the Harbour League: invented names, one stable rating each, and an activity so
//! uneven that a few of them play a large part of the games.

use crate::dice::Dice;
use crate::habits::{Character, Habits};

const FIRST: &[&str] = &[
    "Amber", "Anchor", "Barge", "Beacon", "Bilge", "Bollard", "Bosun", "Breeze", "Brine", "Buoy",
    "Capstan", "Cleat", "Coral", "Crane", "Cutter", "Dinghy", "Dock", "Drift", "Eddy", "Fathom",
    "Ferry", "Foam", "Galley", "Gull", "Halyard", "Hatch", "Heron", "Jetty", "Keel", "Kelp",
    "Lagoon", "Lantern", "Lugger", "Marina", "Mast", "Mooring", "Oar", "Osprey", "Pebble",
    "Pelican", "Pier", "Pilot", "Plank", "Quay", "Raft", "Reef", "Rigger", "Rudder", "Sail",
    "Salt", "Schooner", "Shoal", "Skiff", "Slipway", "Spar", "Squall", "Tackle", "Tide", "Tiller",
    "Trawl", "Tug", "Wharf", "Winch", "Yawl",
];

const SECOND: &[&str] = &[
    "Badger", "Baker", "Bishop", "Boot", "Brick", "Button", "Candle", "Carter", "Castle", "Cloud",
    "Clover", "Cooper", "Copper", "Cricket", "Ember", "Falcon", "Fern", "Fiddle", "Finch", "Flint",
    "Gambit", "Ginger", "Hammer", "Hazel", "Hopper", "Ivy", "Jasper", "Juniper", "Kettle",
    "Knight", "Ladder", "Lark", "Lemon", "Magpie", "Maple", "Marble", "Mason", "Merlin", "Mill",
    "Moss", "Nettle", "Oak", "Otter", "Owl", "Paddle", "Pawn", "Pepper", "Piper", "Raven", "Rook",
    "Saddle", "Sparrow", "Spindle", "Tailor", "Thistle", "Tinker", "Walnut", "Weaver", "Willow",
    "Wren",
];

/// Ratings lie in 400..=2900.
pub const RATINGS: (i32, i32) = (400, 2900);

pub struct Player {
    pub name: String,
    pub rating: i32,
    pub title: &'static str,
    pub character: Character,
}

/// The pool, sorted by rating.
pub struct Players {
    players: Vec<Player>,
    /// Running sums of the activity weights, in the order of `players`.
    activity: Vec<u64>,
}

impl Players {
    /// A pool fit for `games` games: four games for each player, two players a game.
    pub fn new(seed: u64, games: u64, habits: Habits) -> Players {
        let count = (games / 4).clamp(60, 200_000) as u32;
        let mut dice = Dice::new(seed, 0);
        let mut drawn: Vec<(i32, u32, &'static str)> = (0..count)
            .map(|number| {
                let rating = (1500.0 + 350.0 * dice.normal()) as i32;
                let rating = rating.clamp(RATINGS.0 + 20, RATINGS.1 - 20);
                let title = match rating {
                    2500.. if dice.chance(5000) => "GM",
                    2350.. if dice.chance(3500) => "IM",
                    2200.. if dice.chance(2500) => "FM",
                    2050.. if dice.chance(1000) => "CM",
                    _ => "",
                };
                (rating, number, title)
            })
            .collect();
        drawn.sort_unstable();
        let mut sum = 0;
        let activity = drawn
            .iter()
            .map(|(_, number, _)| {
                sum += 1_000_000 / u64::from(20 + number);
                sum
            })
            .collect();
        let players = drawn
            .iter()
            .map(|&(rating, number, title)| {
                let character = habits.character(number);
                Player { name: name(number), rating, title, character }
            })
            .collect();
        Players { players, activity }
    }

    /// Two different players; the second is looked for about 100 points around the first.
    pub fn pair(&self, dice: &mut Dice) -> (&Player, &Player) {
        let first = self.active(0, self.players.len(), dice);
        let wanted = self.players[first].rating + (100.0 * dice.normal()) as i32;
        let low = self.players.partition_point(|p| p.rating < wanted - 12);
        let high = self.players.partition_point(|p| p.rating <= wanted + 12);
        let mut second =
            if low < high { self.active(low, high, dice) } else { low.min(self.players.len() - 1) };
        if second == first {
            second = if first == 0 { 1 } else { first - 1 };
        }
        (&self.players[first], &self.players[second])
    }

    /// Drawn by activity among the players `low..high`.
    fn active(&self, low: usize, high: usize, dice: &mut Dice) -> usize {
        let start = if low == 0 { 0 } else { self.activity[low - 1] };
        let span = self.activity[high - 1] - start;
        let at = start + (dice.unit() * span as f64) as u64;
        self.activity.partition_point(|&sum| sum <= at).min(high - 1)
    }
}

/// A name nobody else in the pool has: two words, and a number from the second round on.
pub fn name(number: u32) -> String {
    let pairs = (FIRST.len() * SECOND.len()) as u32;
    // A step prime to the number of pairs visits every pair once, in no visible order.
    let pair = (number % pairs) * 2741 % pairs;
    let first = FIRST[pair as usize / SECOND.len()];
    let second = SECOND[pair as usize % SECOND.len()];
    match number / pairs {
        0 => format!("{first}{second}"),
        round => format!("{first}{second}{}", round + 1),
    }
}
