//! Games by the group of the player who chose: what says how much games of one player
//! hang together.
//!
//! # Why groups, and why 32
//!
//! Players repeat themselves, so games are not independent of each other and a share of them is
//! less certain than their number says. How much less shows in sums over the games of each player,
//! but no player can be kept: sums of squares by player do not add up over bands, paces, files and
//! months, and names must not be kept at all. So players are put into groups by a fixed hash of
//! their names, and each count is kept by group. The groups share no player and are alike but for
//! chance; the variance of a figure between them is an estimate of its true variance, whatever
//! makes games hang together: the random group method (K. Wolter, Introduction to Variance
//! Estimation, 2nd ed. 2007, chapter 2; cited from memory). Counts by group are integers that add
//! up like all others.
//!
//! G groups give an estimate with G - 1 degrees of freedom, whose relative standard error is about
//! sqrt(2 / (G - 1)): a quarter with 32, a sixth with 64, a third with 16. Twice the groups
//! would cost one more bit a game for a gain that other errors hide; half of them would widen
//! every margin, since the quantile of Student's t is 2.04 with 31 degrees, 2.13 with 15 and
//! 1.96 with any number. 32 groups take five bits a game where there are few, and are too few to
//! identify anybody by.

use crate::terms::{CellId, Group, MoveCode, MoverFilter};

/// Games by group.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct GroupGames([u64; Group::COUNT]);

impl GroupGames {
    /// Adds games of one group.
    pub fn add(&mut self, group: Group, games: u64) {
        self.0[group.index()] += games;
    }

    /// Adds those of others. Commutative and associative; the default is the identity.
    pub fn merge(&mut self, other: &GroupGames) {
        self.0.iter_mut().zip(&other.0).for_each(|(ours, theirs)| *ours += theirs);
    }

    /// The games of each group in order, also of those without any.
    pub fn as_array(&self) -> &[u64; Group::COUNT] {
        &self.0
    }

    /// The same one by one.
    pub fn iter(&self) -> impl ExactSizeIterator<Item = u64> + '_ {
        self.0.iter().copied()
    }

    /// The groups that occur, in order, with their games.
    pub fn occurring(&self) -> impl Iterator<Item = (Group, u64)> + '_ {
        Group::all().zip(self.iter()).filter(|(_, games)| *games > 0)
    }

    /// Games in all groups.
    pub fn total(&self) -> u64 {
        self.iter().sum()
    }
}

impl From<[u64; Group::COUNT]> for GroupGames {
    fn from(games: [u64; Group::COUNT]) -> GroupGames {
        GroupGames(games)
    }
}

/// The games of all cells of a position by group, in 12 bytes for each group that occurs in a cell.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct CellGroups(Vec<Row>);

/// Move, band, pace and group as one number that sorts by these, and games.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[repr(C, packed(4))]
struct Row {
    place: u32,
    games: u64,
}

const CELL_BITS: u32 = u8::BITS + Group::BITS;

impl Row {
    fn code(self) -> MoveCode {
        MoveCode::from_bits((self.place >> CELL_BITS) as u16).expect("packed from a code")
    }

    fn id(self) -> CellId {
        CellId::from_bits((self.place >> Group::BITS) as u8).expect("packed from an id")
    }

    fn group(self) -> Group {
        Group::from_index(self.place as usize % Group::COUNT).expect("a remainder")
    }
}

fn place(code: MoveCode, id: CellId) -> u32 {
    u32::from(code.bits()) << CELL_BITS | u32::from(id.bits()) << Group::BITS
}

/// The last cell of a position, as long as groups are added to it.
pub struct LastCell<'g> {
    place: u32,
    rows: &'g mut Vec<Row>,
}

impl LastCell<'_> {
    /// Adds games of a group, the last one or one behind it.
    #[inline]
    pub fn add(&mut self, group: Group, games: u64) {
        let place = self.place | group.index() as u32;
        match self.rows.last_mut() {
            Some(last) if last.place == place => last.games += games,
            last => {
                debug_assert!(last.is_none_or(|last| last.place < place), "rows are in order");
                self.rows.push(Row { place, games });
            }
        }
    }
}

impl CellGroups {
    /// What one row takes in memory, in bytes.
    pub const ROW_BYTES: usize = size_of::<Row>();

    /// None yet, with room for so many rows.
    pub fn with_room(rows: usize) -> CellGroups {
        CellGroups(Vec::with_capacity(rows))
    }

    /// Adds games of one group in a cell, in any order.
    pub fn add(&mut self, code: MoveCode, id: CellId, group: Group, games: u64) {
        let place = place(code, id) | group.index() as u32;
        match self.0.binary_search_by_key(&place, |row| row.place) {
            Ok(at) => self.0[at].games += games,
            Err(at) => self.0.insert(at, Row { place, games }),
        }
    }

    /// Adds a cell after all others.
    pub fn append(&mut self, code: MoveCode, id: CellId) -> LastCell<'_> {
        LastCell { place: place(code, id), rows: &mut self.0 }
    }

    /// Adds those of the same position from elsewhere. Commutative and associative; the default is
    /// the identity.
    pub fn merge(&mut self, other: CellGroups) {
        if self.0.is_empty() {
            *self = other;
            return;
        }
        let (ours, mut theirs) = (std::mem::take(&mut self.0), other.0.into_iter().peekable());
        self.0.reserve_exact(ours.len() + theirs.len());
        for mut row in ours {
            while let Some(before) = theirs.next_if(|other| other.place < row.place) {
                self.0.push(before);
            }
            if let Some(same) = theirs.next_if(|other| other.place == row.place) {
                row.games += same.games;
            }
            self.0.push(row);
        }
        self.0.extend(theirs);
    }

    /// How many groups occur in the cells, each counted once a cell.
    pub fn len(&self) -> usize {
        self.0.len()
    }

    /// Whether there are no games.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// All rows: move, band and pace, group and its games, sorted by these; none without games.
    pub fn rows(&self) -> impl Iterator<Item = (MoveCode, CellId, Group, u64)> + Clone + '_ {
        self.0.iter().map(|row| (row.code(), row.id(), row.group(), row.games))
    }

    /// Games by group of the movers that the filter lets through, whatever they played.
    pub fn sum(&self, filter: MoverFilter) -> GroupGames {
        admitted(&self.0, filter)
    }

    /// The same for each move, in the order of moves; one without such movers has no games.
    pub fn by_move(
        &self,
        filter: MoverFilter,
    ) -> impl Iterator<Item = (MoveCode, GroupGames)> + '_ {
        let moves = self.0.chunk_by(|a, b| a.place >> CELL_BITS == b.place >> CELL_BITS);
        moves.map(move |rows| (rows[0].code(), admitted(rows, filter)))
    }
}

fn admitted(rows: &[Row], filter: MoverFilter) -> GroupGames {
    let mut sum = GroupGames::default();
    // A cell has up to 32 rows, and is let through or not.
    let (mut cell, mut admits) = (None, false);
    for row in rows {
        if cell != Some(row.place >> Group::BITS) {
            (cell, admits) = (Some(row.place >> Group::BITS), filter.admits(row.id()));
        }
        if admits {
            sum.add(row.group(), row.games);
        }
    }
    sum
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::terms::{Band, BandRange, Pace, PaceSet};

    type Given = (u16, u8, usize, u64);

    fn added(rows: &[Given]) -> CellGroups {
        let mut groups = CellGroups::default();
        for &(code, id, group, games) in rows {
            let code = MoveCode::from_bits(code << 3).expect("no promotion");
            let id = CellId::from_bits(id).expect("an id");
            groups.add(code, id, Group::from_index(group).expect("a group"), games);
        }
        groups
    }

    fn rows() -> impl Strategy<Value = Vec<Given>> {
        prop::collection::vec((0u16..4, 90u8..96, 0usize..3, 1u64..1 << 40), 0..40)
    }

    proptest! {
        #[test]
        fn neither_order_nor_parts_matter(rows in rows(), cut: prop::sample::Index) {
            let whole = added(&rows);
            let mut sorted = rows.clone();
            sorted.sort_unstable();
            prop_assert_eq!(&added(&sorted), &whole);
            let (left, right) = rows.split_at(cut.index(rows.len() + 1));
            let mut parts = added(left);
            parts.merge(added(right));
            prop_assert_eq!(parts, whole);
        }

        #[test]
        fn sums_are_those_of_the_rows_that_the_filter_lets_through(rows in rows(), band in 14usize..17) {
            let groups = added(&rows);
            let bands = BandRange::only(Band::from_index(band).expect("a band"));
            let paces: PaceSet = [Pace::Bullet, Pace::Rapid].into_iter().collect();
            for filter in [MoverFilter::ALL, MoverFilter { bands, paces }] {
                let sum = |code: Option<u16>| {
                    let mut sum = [0; Group::COUNT];
                    for &(its, id, group, games) in &rows {
                        let id = CellId::from_bits(id).expect("an id");
                        if code.is_none_or(|code| code == its) && filter.admits(id) {
                            sum[group] += games;
                        }
                    }
                    GroupGames::from(sum)
                };
                prop_assert_eq!(groups.sum(filter), sum(None));
                for (mv, games) in groups.by_move(filter) {
                    prop_assert_eq!(games, sum(Some(mv.bits() >> 3)));
                }
            }
        }
    }

    #[test]
    fn cells_appended_in_order_are_those_added() {
        let rows = [(1, 90, 0, 3), (1, 90, 31, 1), (1, 91, 2, 1), (2, 90, 2, 7)];
        let mut groups = CellGroups::default();
        for (code, id, group, games) in rows {
            let code = MoveCode::from_bits(code << 3).expect("no promotion");
            let mut cell = groups.append(code, CellId::from_bits(id).expect("an id"));
            (0..games).for_each(|_| cell.add(Group::from_index(group).expect("a group"), 1));
        }
        assert_eq!(groups, added(&rows));
    }

    #[test]
    fn a_row_takes_twelve_bytes() {
        assert_eq!(CellGroups::ROW_BYTES, 12);
    }

    #[test]
    fn games_by_group_add_up() {
        let of = |rows: [(usize, u64); 2]| {
            let mut games = GroupGames::default();
            for (index, of_group) in rows {
                games.add(Group::from_index(index).expect("a group"), of_group);
            }
            games
        };
        let mut a = of([(0, 3), (31, 1 << 60)]);
        a.merge(&of([(31, 1 << 60), (7, 1)]));
        assert_eq!(a.total(), (1 << 61) + 4);
        let occurring: Vec<_> =
            a.occurring().map(|(group, games)| (group.index(), games)).collect();
        assert_eq!(occurring, [(0, 3), (7, 1), (31, 1 << 61)]);
    }
}
