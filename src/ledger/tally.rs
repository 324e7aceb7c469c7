//! What became of games.

use serde::{Deserialize, Serialize};

use crate::games::{Date, LeftOutTally};

/// What became of the games of a dump, or of several; games read = games counted + left out.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct GameTally {
    /// Games read.
    pub games_read: u64,
    /// Games counted.
    pub games_counted: u64,
    /// Sides of the games counted whose player has no name.
    pub nameless_sides: u64,
    /// Games left out by reason.
    pub left_out: LeftOutTally,
    /// Date of the earliest game counted.
    pub first: Option<Date>,
    /// Date of the latest game counted.
    pub last: Option<Date>,
    /// Games counted that have no whole date.
    #[serde(default)]
    pub undated: u64,
}

impl GameTally {
    /// Takes note of the date of a game that was counted.
    pub fn add(&mut self, date: Option<Date>) {
        match date {
            Some(date) => self.widen(date),
            None => self.undated += 1,
        }
    }

    fn widen(&mut self, date: Date) {
        self.first = Some(self.first.map_or(date, |first| first.min(date)));
        self.last = Some(self.last.map_or(date, |last| last.max(date)));
    }

    /// Adds another tally.
    pub fn merge(&mut self, other: &GameTally) {
        self.games_read += other.games_read;
        self.games_counted += other.games_counted;
        self.nameless_sides += other.nameless_sides;
        self.left_out.merge(&other.left_out);
        other.first.into_iter().chain(other.last).for_each(|date| self.widen(date));
        self.undated += other.undated;
    }

    /// All of them together.
    pub fn sum<'a>(tallies: impl IntoIterator<Item = &'a GameTally>) -> GameTally {
        let mut sum = GameTally::default();
        tallies.into_iter().for_each(|tally| sum.merge(tally));
        sum
    }

    /// Whether every game read was either counted or left out, and has no more than two sides
    /// and one date.
    pub fn adds_up(&self) -> bool {
        let counted = Some(self.games_counted);
        let sum = self.left_out.rows().fold(counted, |sum, (_, games)| sum?.checked_add(games));
        let within = self.nameless_sides.div_ceil(2).max(self.undated) <= self.games_counted;
        sum == Some(self.games_read) && within
    }
}
