//! Counts in memory.

use std::collections::BTreeMap;
use std::convert::Infallible;

use shakmaty::{Chess, Move};

use super::{Cell, Counts, Limits, MoveCounts, PositionCounts, Totals};
use crate::terms::{CellId, Group, Key, MoveCode};

/// Counts in the plainest form, to be filled cell by cell: what answers and stores are tried on.
#[derive(Clone, Debug)]
pub struct InMemory {
    /// The positions by key.
    pub positions: BTreeMap<Key, PositionCounts>,
    /// Games per colour, band and pace.
    pub totals: Totals,
    /// How far the counts reach.
    pub limits: Limits,
}

impl InMemory {
    /// No games yet, of which every position of the first `half_moves` would be kept.
    pub fn counting(half_moves: u16) -> InMemory {
        let limits = Limits { half_moves, keep_from: 1, ..Limits::default() };
        InMemory { positions: BTreeMap::new(), totals: Totals::default(), limits }
    }

    /// Adds a game of a player of the group to the groups of a cell; the cell, for what is
    /// known of it.
    pub fn add_game(&mut self, position: &Chess, mv: Move, id: CellId, group: Group) -> &mut Cell {
        let key = Key::of(position);
        let counts = self.positions.entry(key).or_insert(PositionCounts::empty(key));
        counts.groups.add(MoveCode::of(mv), id, group, 1);
        self.cell(position, mv, id)
    }

    /// The cell of a move in a position, made if it is not there; its groups stay as they are.
    pub fn cell(&mut self, position: &Chess, mv: Move, id: CellId) -> &mut Cell {
        let (key, code) = (Key::of(position), MoveCode::of(mv));
        let moves = &mut self.positions.entry(key).or_insert(PositionCounts::empty(key)).moves;
        let place = moves.binary_search_by_key(&code, |mv| mv.code).unwrap_or_else(|place| {
            moves.insert(place, MoveCounts { code, cells: Vec::new() });
            place
        });
        let cells = &mut moves[place].cells;
        let place = cells.binary_search_by_key(&id, |(id, _)| *id).unwrap_or_else(|place| {
            cells.insert(place, (id, Cell::default()));
            place
        });
        &mut cells[place].1
    }
}

impl Counts for InMemory {
    type Error = Infallible;

    fn position(&self, key: Key) -> Result<Option<PositionCounts>, Infallible> {
        Ok(self.positions.get(&key).cloned())
    }

    fn totals(&self) -> &Totals {
        &self.totals
    }

    fn limits(&self) -> &Limits {
        &self.limits
    }
}
