//! All counts of one position.

use super::{Cell, CellGroups, GroupGames, Opening};
use crate::terms::{CellId, Key, MoveCode, MoverFilter};

/// The cells of one move, sorted by id, none of them empty.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MoveCounts {
    /// The move.
    pub code: MoveCode,
    /// Its cells by band and pace.
    pub cells: Vec<(CellId, Cell)>,
}

impl MoveCounts {
    /// Games of movers that the filter lets through.
    pub fn games(&self, filter: MoverFilter) -> u64 {
        self.cells.iter().filter(|(id, _)| filter.admits(*id)).map(|(_, cell)| cell.games).sum()
    }

    /// The sum over the cells of movers that the filter lets through.
    pub fn sum(&self, filter: MoverFilter) -> Cell {
        self.cells.iter().filter(|(id, _)| filter.admits(*id)).map(|(_, cell)| cell).sum()
    }
}

/// Everything counted in one position, moves sorted by code, none of them empty.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PositionCounts {
    /// Which position.
    pub key: Key,
    /// How many games may be missing here; 0 means that the counts are exact.
    pub may_lack: u64,
    /// The learned opening name.
    pub opening: Option<Opening>,
    /// The moves played.
    pub moves: Vec<MoveCounts>,
    /// The games of their cells by the mover's group.
    pub groups: CellGroups,
}

impl PositionCounts {
    /// No games yet; exact.
    pub fn empty(key: Key) -> PositionCounts {
        PositionCounts {
            key,
            may_lack: 0,
            opening: None,
            moves: Vec::new(),
            groups: CellGroups::default(),
        }
    }

    /// Games in all.
    pub fn games(&self) -> u64 {
        self.moves.iter().flat_map(|mv| &mv.cells).map(|(_, cell)| cell.games).sum()
    }

    /// Games by group of the movers that the filter lets through, one entry for each move in
    /// their order.
    pub fn groups_by_move(&self, filter: MoverFilter) -> Vec<GroupGames> {
        self.groups.by_move(filter).map(|(_, games)| games).collect()
    }

    /// Adds the counts of the same position from elsewhere; `may_lack` adds up, the opening name
    /// with the larger tally stays.
    pub fn merge(&mut self, other: PositionCounts) {
        debug_assert_eq!(self.key, other.key);
        self.may_lack = self.may_lack.saturating_add(other.may_lack);
        self.opening = Opening::larger(self.opening.take(), other.opening);
        self.groups.merge(other.groups);
        for theirs in other.moves {
            match self.moves.binary_search_by_key(&theirs.code, |mv| mv.code) {
                Ok(place) => merge_cells(&mut self.moves[place].cells, theirs.cells),
                Err(place) => self.moves.insert(place, theirs),
            }
        }
    }
}

fn merge_cells(ours: &mut Vec<(CellId, Cell)>, theirs: Vec<(CellId, Cell)>) {
    for (id, cell) in theirs {
        match ours.binary_search_by_key(&id, |(id, _)| *id) {
            Ok(place) => ours[place].1.merge(&cell),
            Err(place) => ours.insert(place, (id, cell)),
        }
    }
}
