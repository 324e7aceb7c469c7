//! Counts: what is known about a position, as integers that add up.
//!
//! In: the counted half-moves of games. Out: cells (position x move x mover's band x pace), the
//! same games by the mover's group, totals and learned opening names. Nothing here opens a file,
//! knows the time or prints; nothing here divides: ratios are made by [`crate::answers`].
//!
//! Every count is a value with a merge law: `Default` is its identity, `merge` is commutative and
//! associative. So the order of games, threads and files cannot show in a result.

mod cell;
mod group;
mod in_memory;
mod limits;
mod opening;
mod position;
mod record;
mod totals;

pub use cell::Cell;
pub use group::{CellGroups, GroupGames, LastCell};
pub use in_memory::InMemory;
pub use limits::{Beyond, Lacking, Limits};
pub use opening::{Opening, OpeningTag, OpeningTally};
pub use position::{MoveCounts, PositionCounts};
pub use record::{NameId, Record};
pub use totals::{Total, Totals};

use crate::terms::{Key, MoverFilter};

/// Works out the games by group of the movers that a filter lets through, one entry for each move
/// in their order.
pub type GroupsOf<'p> = dyn Fn(MoverFilter) -> Vec<GroupGames> + 'p;

/// What an answer may ask of a set of counts, wherever they are kept.
pub trait Counts {
    /// Why a look-up can fail; a plain in-memory model never does.
    type Error;

    /// The cells of one position, or `None` when the position was not kept.
    fn position(&self, key: Key) -> Result<Option<PositionCounts>, Self::Error>;

    /// The same with the games by group of the movers that the filter lets through, one entry for
    /// each move. Those of the position's own cells may be left out.
    fn position_under(
        &self,
        key: Key,
        filter: MoverFilter,
    ) -> Result<Option<(PositionCounts, Vec<GroupGames>)>, Self::Error> {
        let with_groups = |found: PositionCounts| {
            let groups = found.groups_by_move(filter);
            (found, groups)
        };
        Ok(self.position(key)?.map(with_groups))
    }

    /// Looks many positions up, best in ascending order of their keys. `make` draws what is wanted
    /// from the moves played in each one that was kept, and from their games by group if it asks
    /// for them, perhaps on several threads; `take` gets that in the order of the keys. Both are
    /// told the key's place among `keys`.
    ///
    /// # Errors
    /// That of the first look-up that fails.
    fn moves_of_many<T: Send>(
        &self,
        keys: &[Key],
        make: impl Fn(usize, &[MoveCounts], &GroupsOf<'_>) -> T + Sync,
        mut take: impl FnMut(usize, T),
    ) -> Result<(), Self::Error> {
        for (place, &key) in keys.iter().enumerate() {
            if let Some(found) = self.position(key)? {
                take(place, make(place, &found.moves, &|filter| found.groups_by_move(filter)));
            }
        }
        Ok(())
    }

    /// Games per colour, band and pace.
    fn totals(&self) -> &Totals;

    /// How far into games the counts reach and what may be missing from them.
    fn limits(&self) -> &Limits;
}
