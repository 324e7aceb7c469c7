//! How far a set of counts reaches.

use serde::{Serialize, Serializer};
use shakmaty::{Chess, Position};

use super::PositionCounts;

/// What an answer must say about the counts it rests on.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Limits {
    /// Half-moves counted of each game.
    pub half_moves: u16,
    /// Positions with fewer games than this were dropped.
    pub keep_from: u64,
    /// How many games a position that is absent may have had at the most.
    pub absent_may_lack: u64,
    /// Games counted.
    pub games: u64,
    /// Sides of these games whose player has no name; each counts as a player of its own.
    pub nameless_sides: u64,
    /// Names of the dumps that were cut short and counted as far as they could be read.
    pub incomplete: Vec<String>,
}

/// How many games may be missing from a position; the greater lacks more. Serialised as a number,
/// or null where no games are counted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Lacking {
    /// So many at the most; 0 where the counts are exact.
    UpTo(u64),
    /// Any number: only games that come here by a shorter way are counted.
    NotCounted(Beyond),
}

/// A position behind the half-moves that are counted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Beyond {
    /// Half-moves that would have to be counted.
    pub needed: u16,
    /// Half-moves that are counted.
    pub counted: u16,
}

impl Lacking {
    /// Nothing is missing.
    pub const NOTHING: Lacking = Lacking::UpTo(0);

    /// What is missing from two positions together.
    pub fn plus(self, other: Lacking) -> Lacking {
        match (self, other) {
            (Lacking::UpTo(one), Lacking::UpTo(other)) => Lacking::UpTo(one.saturating_add(other)),
            _ => self.max(other),
        }
    }

    /// The same where so many half-moves are needed of what is not counted.
    pub fn needing(self, half_moves: u16) -> Lacking {
        match self {
            Lacking::UpTo(_) => self,
            Lacking::NotCounted(beyond) => {
                let needed = beyond.needed.max(half_moves);
                Lacking::NotCounted(Beyond { needed, ..beyond })
            }
        }
    }

    /// How far behind the counted half-moves it lies.
    pub fn beyond(self) -> Option<Beyond> {
        match self {
            Lacking::UpTo(_) => None,
            Lacking::NotCounted(beyond) => Some(beyond),
        }
    }
}

impl Serialize for Lacking {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        match self {
            Lacking::UpTo(games) => to.serialize_u64(*games),
            Lacking::NotCounted(_) => to.serialize_none(),
        }
    }
}

impl Limits {
    /// How many games may be missing from a position of which this is known. Its move number tells
    /// after how many half-moves it stands.
    pub fn lacking(&self, position: &Chess, found: Option<&PositionCounts>) -> Lacking {
        let before = 2 * (position.fullmoves().get() - 1) + u32::from(position.turn().is_black());
        if before < self.half_moves.into() {
            return Lacking::UpTo(found.map_or(self.absent_may_lack, |found| found.may_lack));
        }
        let needed = u16::try_from(before + 1).unwrap_or(u16::MAX);
        Lacking::NotCounted(Beyond { needed, counted: self.half_moves })
    }

    /// Whether so many players have no name that games look more independent than they are: more
    /// than a tenth.
    pub fn many_nameless(&self) -> bool {
        self.nameless_sides.saturating_mul(5) > self.games
    }
}
