//! Games per colour, band and pace: the denominators of occurrence and the baseline of edge.

use shakmaty::Color;

use super::{Cell, GroupGames};
use crate::terms::{CellId, Group, MoverFilter, Outcome};

/// The games of one colour, band and pace, from the view of the colour.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Total {
    /// Games, wins, draws and the sum of expected scores; nothing else of a cell is used.
    pub cell: Cell,
    /// Sum of the squares of the expected scores, in millionths of a point squared.
    pub expected_sq: u64,
    /// Sum of the expected scores times the scores made, in millionths of a point squared.
    pub expected_result: u64,
    /// Games by group.
    pub groups: GroupGames,
}

impl Total {
    /// Adds one game; the expected score is in thousandths of a point.
    pub fn add_game(&mut self, group: Group, outcome: Outcome, expected_milli: u16) {
        let expected = u64::from(expected_milli);
        let result_milli = match outcome {
            Outcome::Win => 1000,
            Outcome::Draw => 500,
            Outcome::Loss => 0,
        };
        self.cell.add_game(outcome, expected_milli);
        self.expected_sq += expected * expected;
        self.expected_result += expected * result_milli;
        self.groups.add(group, 1);
    }

    /// Adds other games. Commutative and associative; the default is the identity.
    pub fn merge(&mut self, other: &Total) {
        self.cell.merge(&other.cell);
        self.expected_sq += other.expected_sq;
        self.expected_result += other.expected_result;
        self.groups.merge(&other.groups);
    }
}

/// One [`Total`] a colour, band and pace.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Totals(Vec<Total>);

impl Default for Totals {
    fn default() -> Totals {
        Totals(vec![Total::default(); 2 * CellId::COUNT])
    }
}

impl Totals {
    fn place(colour: Color, id: CellId) -> usize {
        usize::from(colour.is_black()) * CellId::COUNT + id.index()
    }

    /// Adds one game for one of its sides.
    pub fn add_game(
        &mut self,
        colour: Color,
        id: CellId,
        group: Group,
        outcome: Outcome,
        expected_milli: u16,
    ) {
        self.total_mut(colour, id).add_game(group, outcome, expected_milli);
    }

    /// Adds the total of other games.
    pub fn add(&mut self, colour: Color, id: CellId, total: &Total) {
        self.total_mut(colour, id).merge(total);
    }

    /// Adds the totals of other games.
    pub fn merge(&mut self, other: &Totals) {
        self.0.iter_mut().zip(&other.0).for_each(|(ours, theirs)| ours.merge(theirs));
    }

    /// The games of one colour, band and pace.
    pub fn cell(&self, colour: Color, id: CellId) -> &Cell {
        &self.total(colour, id).cell
    }

    /// The total of one colour, band and pace.
    pub fn total(&self, colour: Color, id: CellId) -> &Total {
        &self.0[Self::place(colour, id)]
    }

    /// The same to be changed.
    pub fn total_mut(&mut self, colour: Color, id: CellId) -> &mut Total {
        &mut self.0[Self::place(colour, id)]
    }

    /// The sum of the games over the bands and paces that the filter lets through.
    pub fn sum(&self, colour: Color, filter: MoverFilter) -> Cell {
        self.admitted(colour, filter).map(|total| &total.cell).sum()
    }

    /// The sum of the games by group over the bands and paces that the filter lets through.
    pub fn groups(&self, colour: Color, filter: MoverFilter) -> GroupGames {
        self.admitted(colour, filter).fold(GroupGames::default(), |mut sum, total| {
            sum.merge(&total.groups);
            sum
        })
    }

    fn admitted(&self, colour: Color, filter: MoverFilter) -> impl Iterator<Item = &Total> {
        let of_colour =
            self.totals().filter(move |(side, id, _)| *side == colour && filter.admits(*id));
        of_colour.map(|(_, _, total)| total)
    }

    /// The games of all totals that are not empty: White's, then Black's, by band and pace.
    pub fn rows(&self) -> impl Iterator<Item = (Color, CellId, &Cell)> {
        self.totals().map(|(colour, id, total)| (colour, id, &total.cell))
    }

    /// All totals that are not empty, in the same order.
    pub fn totals(&self) -> impl Iterator<Item = (Color, CellId, &Total)> {
        let places = [Color::White, Color::Black]
            .into_iter()
            .flat_map(|colour| (0..CellId::COUNT).map(move |index| (colour, index)));
        let with_id = |((colour, index), total)| {
            let id = CellId::from_bits(index as u8).expect("every index below the count is an id");
            (colour, id, total)
        };
        places.zip(&self.0).filter(|(_, total)| total.cell.games > 0).map(with_id)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::terms::{Band, BandRange, Pace, PaceSet};

    fn id(band: usize, pace: Pace) -> CellId {
        CellId::new(Band::from_index(band).expect("a band"), pace)
    }

    fn group(index: usize) -> Group {
        Group::from_index(index).expect("a group")
    }

    fn totals() -> Totals {
        let mut totals = Totals::default();
        let mut add = |colour, band, pace, number, outcome, expected| {
            totals.add_game(colour, id(band, pace), group(number), outcome, expected);
        };
        add(Color::White, 15, Pace::Blitz, 3, Outcome::Win, 640);
        add(Color::White, 15, Pace::Blitz, 3, Outcome::Draw, 360);
        add(Color::White, 15, Pace::Blitz, 31, Outcome::Loss, 500);
        add(Color::White, 16, Pace::Rapid, 0, Outcome::Win, 1000);
        add(Color::Black, 15, Pace::Blitz, 0, Outcome::Loss, 360);
        totals
    }

    /// By hand: 0.64 squared is 409,600 millionths, 0.36 squared 129,600, 0.5 squared 250,000; 0.64
    /// points expected times a win are 640,000, 0.36 times a draw 180,000.
    #[test]
    fn sums_for_a_slope_are_in_millionths() {
        let totals = totals();
        let total = totals.total(Color::White, id(15, Pace::Blitz));
        assert_eq!((total.cell.games, total.cell.expected_milli), (3, 1500));
        assert_eq!((total.expected_sq, total.expected_result), (789_200, 820_000));
    }

    #[test]
    fn a_filter_and_a_colour_choose_what_is_summed() {
        let totals = totals();
        let blitz: PaceSet = [Pace::Blitz].into_iter().collect();
        let filter = MoverFilter { bands: BandRange::ALL, paces: blitz };
        let occurring = |groups: GroupGames| -> Vec<(usize, u64)> {
            groups.occurring().map(|(group, games)| (group.index(), games)).collect()
        };
        assert_eq!(occurring(totals.groups(Color::White, filter)), [(3, 2), (31, 1)]);
        assert_eq!(occurring(totals.groups(Color::Black, filter)), [(0, 1)]);
        let all = totals.groups(Color::White, MoverFilter::ALL);
        assert_eq!(occurring(all), [(0, 1), (3, 2), (31, 1)]);
    }

    #[test]
    fn totals_merge_into_what_all_games_come_to() {
        let (mut twice, mut again) = (totals(), totals());
        twice.merge(&totals());
        let rows = totals();
        rows.totals().for_each(|(colour, id, total)| again.add(colour, id, total));
        assert_eq!(twice, again);
        assert_eq!(twice.groups(Color::White, MoverFilter::ALL).total(), 8);
    }
}
