//! What a store says about itself.

use serde::{Deserialize, Serialize};

use crate::counts::{Limits, Totals};
use crate::games::Rules;
use crate::ledger::{GameTally, Source};

/// What was counted, from what, and what was left behind.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Header {
    /// Which games count and how far into them.
    pub rules: Rules,
    /// Positions with fewer games than this were dropped.
    pub keep_from: u64,
    /// How many games a position that is absent may have had at the most.
    pub absent_may_lack: u64,
    /// Half-moves counted, each once a game and position.
    pub visits: u64,
    /// Those of them in positions that were dropped.
    pub visits_dropped: u64,
    /// Games per colour, band and pace; in an entry of their own.
    #[serde(skip)]
    pub totals: Totals,
    /// The dumps that are in.
    pub sources: Vec<Source>,
    /// Whether there were more distinct opening tags than a build can hold, so that no further
    /// names were learned.
    pub names_given_up: bool,
}

impl Header {
    /// Half-moves in the positions that were kept; `None` if more were dropped than counted.
    pub fn visits_kept(&self) -> Option<u64> {
        self.visits.checked_sub(self.visits_dropped)
    }

    /// What became of the games of all dumps.
    pub fn games(&self) -> GameTally {
        GameTally::sum(self.sources.iter().map(|source| &source.games))
    }

    /// What an answer must say about these counts.
    pub fn limits(&self) -> Limits {
        let incomplete = self.sources.iter().filter(|source| !source.complete);
        let GameTally { games_counted, nameless_sides, .. } = self.games();
        Limits {
            half_moves: self.rules.half_moves,
            keep_from: self.keep_from,
            absent_may_lack: self.absent_may_lack,
            games: games_counted,
            nameless_sides,
            incomplete: incomplete.map(|source| source.name.clone()).collect(),
        }
    }
}

/// What the writer saw go by: the yardstick for everything read back.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Summary {
    /// Positions.
    pub positions: u64,
    /// Cells of all positions.
    pub cells: u64,
    /// Games of all positions.
    pub visits: u64,
    /// The largest key as a number, if there is any position.
    pub last_key: Option<u64>,
}
