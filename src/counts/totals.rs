//! Games per colour, band and pace: the denominators of occurrence and the baseline of edge.

use shakmaty::Color;

use super::Cell;
use crate::terms::{CellId, MoverFilter, Outcome};

/// One [`Cell`] a colour, band and pace; only games, wins, draws and expected scores are used, from
/// the view of the colour.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Totals {
    cells: Vec<Cell>,
}

impl Default for Totals {
    fn default() -> Totals {
        Totals { cells: vec![Cell::default(); 2 * CellId::COUNT] }
    }
}

impl Totals {
    fn place(colour: Color, id: CellId) -> usize {
        usize::from(colour.is_black()) * CellId::COUNT + id.index()
    }

    /// Adds one game for one of its sides.
    pub fn add_game(&mut self, colour: Color, id: CellId, outcome: Outcome, expected_milli: u16) {
        self.cells[Self::place(colour, id)].add_game(outcome, expected_milli);
    }

    /// Adds a cell read back from a store.
    pub fn add_cell(&mut self, colour: Color, id: CellId, cell: &Cell) {
        self.cells[Self::place(colour, id)].merge(cell);
    }

    /// Adds the totals of other games.
    pub fn merge(&mut self, other: &Totals) {
        for (ours, theirs) in self.cells.iter_mut().zip(&other.cells) {
            ours.merge(theirs);
        }
    }

    /// The total of one colour, band and pace.
    pub fn cell(&self, colour: Color, id: CellId) -> &Cell {
        &self.cells[Self::place(colour, id)]
    }

    /// The sum over the bands and paces that the filter lets through.
    pub fn sum(&self, colour: Color, filter: MoverFilter) -> Cell {
        self.rows()
            .filter(|(side, id, _)| *side == colour && filter.admits(*id))
            .map(|(_, _, cell)| cell)
            .sum()
    }

    /// All totals that are not empty: White's, then Black's, by band and pace.
    pub fn rows(&self) -> impl Iterator<Item = (Color, CellId, &Cell)> {
        [Color::White, Color::Black]
            .into_iter()
            .flat_map(|colour| (0..CellId::COUNT).map(move |index| (colour, index)))
            .map(|(colour, index)| {
                let id =
                    CellId::from_bits(index as u8).expect("every index below the count is an id");
                (colour, id, self.cell(colour, id))
            })
            .filter(|(_, _, cell)| cell.games > 0)
    }
}
