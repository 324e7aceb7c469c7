//! What a store says about itself.

use serde::{Deserialize, Deserializer, Serialize, Serializer};
use shakmaty::Color;

use super::codec::unsound;
use crate::counts::{Cell, Limits, Total, Totals};
use crate::games::Rules;
use crate::ledger::{GameTally, Source};
use crate::terms::{CellId, Group};

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
    /// Games per colour, band and pace.
    #[serde(serialize_with = "write_totals", deserialize_with = "read_totals")]
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

/// A row of the totals: black?, cell id, games, wins, draws, and the sums of expected thousandths, of their
/// squares and of their products with results; then games by group.
type TotalsRow = (bool, u8, [u64; 6], [u64; Group::COUNT]);

fn row((colour, id, total): (Color, CellId, &Total)) -> TotalsRow {
    let Total { cell, expected_sq, expected_result, groups } = total;
    let sums =
        [cell.games, cell.wins, cell.draws, cell.expected_milli, *expected_sq, *expected_result];
    (colour.is_black(), id.bits(), sums, *groups.as_array())
}

/// Back from [`row`]; `None` if it cannot have been counted.
fn total((black, id, sums, groups): TotalsRow) -> Option<(Color, CellId, Total)> {
    let [games, wins, draws, expected_milli, expected_sq, expected_result] = sums;
    let cell = Cell { games, wins, draws, expected_milli, ..Cell::default() };
    let by_group = groups.iter().try_fold(0u64, |sum, games| sum.checked_add(*games));
    // Of one game no more than a point is expected, nor more than one made.
    let most = expected_milli.checked_mul(1000)?;
    let sound = unsound(&cell).is_none()
        && by_group == Some(games)
        && expected_sq <= most
        && expected_result <= most;
    let total = Total { cell, expected_sq, expected_result, groups: groups.into() };
    sound.then_some((Color::from_black(black), CellId::from_bits(id)?, total))
}

fn write_totals<S: Serializer>(totals: &Totals, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.collect_seq(totals.totals().map(row))
}

fn read_totals<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Totals, D::Error> {
    let mut totals = Totals::default();
    for row in Vec::<TotalsRow>::deserialize(deserializer)? {
        match total(row).filter(|(colour, id, _)| totals.cell(*colour, *id).games == 0) {
            Some((colour, id, total)) => totals.add(colour, id, &total),
            None => return Err(serde::de::Error::custom("totals that cannot have been counted")),
        }
    }
    Ok(totals)
}
