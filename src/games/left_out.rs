//! Why a game is left out, and how many were.

use serde::ser::SerializeMap;
use serde::{Deserialize, Deserializer, Serialize, Serializer};

/// The reason why a game is not counted: the first that applies, in this order.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum LeftOut {
    /// Another game than standard chess, or not from the start position.
    Variant,
    /// The Result tag is not 1-0, 0-1 or 1/2-1/2.
    NoResult,
    /// A rating is missing or not an integer from 1 to 3999.
    NoRating,
    /// One of the players carries the title BOT.
    Computer,
    /// Abandoned, ended by a rules infraction, or unterminated.
    NotPlayedOut,
    /// A casual or unrated game.
    Unrated,
    /// Outside the dates asked for.
    OutsideDates,
    /// Of another pace than those asked for.
    OtherPace,
    /// The ratings are further apart than asked for.
    RatingGap,
    /// Cut off, an unterminated comment, or an end marker that is missing or unlike the Result tag.
    Broken,
    /// No move was played.
    NoMoves,
    /// An illegal, ambiguous or unreadable move within the counted half-moves.
    IllegalMove,
}

impl LeftOut {
    /// All reasons in order.
    pub const ALL: [LeftOut; 12] = [
        LeftOut::Variant,
        LeftOut::NoResult,
        LeftOut::NoRating,
        LeftOut::Computer,
        LeftOut::NotPlayedOut,
        LeftOut::Unrated,
        LeftOut::OutsideDates,
        LeftOut::OtherPace,
        LeftOut::RatingGap,
        LeftOut::Broken,
        LeftOut::NoMoves,
        LeftOut::IllegalMove,
    ];

    /// The name used in reports.
    pub fn name(self) -> &'static str {
        NAMES[self as usize]
    }
}

/// In the order of [`LeftOut::ALL`].
const NAMES: [&str; LeftOut::ALL.len()] = [
    "variant",
    "no_result",
    "no_rating",
    "computer",
    "not_played_out",
    "unrated",
    "outside_dates",
    "other_pace",
    "rating_gap",
    "broken",
    "no_moves",
    "illegal_move",
];

/// How many games were left out for each reason.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct LeftOutTally([u64; LeftOut::ALL.len()]);

impl LeftOutTally {
    /// Counts one game.
    pub fn add(&mut self, reason: LeftOut) {
        self.0[reason as usize] += 1;
    }

    /// Adds another tally.
    pub fn merge(&mut self, other: &LeftOutTally) {
        for (ours, theirs) in self.0.iter_mut().zip(other.0) {
            *ours += theirs;
        }
    }

    /// Games left out for this reason.
    pub fn of(&self, reason: LeftOut) -> u64 {
        self.0[reason as usize]
    }

    /// Games left out in all.
    pub fn total(&self) -> u64 {
        self.0.iter().sum()
    }

    /// Every reason with its count, in order.
    pub fn rows(&self) -> impl Iterator<Item = (LeftOut, u64)> + '_ {
        LeftOut::ALL.into_iter().map(|reason| (reason, self.of(reason)))
    }
}

impl Serialize for LeftOutTally {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(Some(LeftOut::ALL.len()))?;
        for (reason, games) in self.rows() {
            map.serialize_entry(reason.name(), &games)?;
        }
        map.end()
    }
}

impl<'de> Deserialize<'de> for LeftOutTally {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<LeftOutTally, D::Error> {
        let map = std::collections::HashMap::<String, u64>::deserialize(deserializer)?;
        let count = |reason: LeftOut| map.get(reason.name()).copied().unwrap_or(0);
        Ok(LeftOutTally(LeftOut::ALL.map(count)))
    }
}
