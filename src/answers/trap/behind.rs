//! The positions behind moves whose games make a score: those who answer there have habits, as
//! whoever chose the move.

use std::rc::Rc;

use shakmaty::Chess;

use super::cache::Cache;
use super::cells::PerCell;
use crate::answers::effect::behind;
use crate::answers::stats::ANSWERED_FROM;
use crate::counts::{Counts, MoveCounts, PositionCounts};
use crate::terms::{Key, MoveCode, MoverFilter};

/// One such move.
pub(super) struct Behind {
    pub code: MoveCode,
    games: PerCell<u64>,
    pub key: Key,
    pub counts: Option<Rc<PositionCounts>>,
}

impl Behind {
    /// Behind each of these moves of a position.
    pub fn each<C: Counts>(
        cache: &Cache<'_, C>,
        position: &Chess,
        found: Option<&PositionCounts>,
        codes: &[MoveCode],
    ) -> Result<Vec<Behind>, C::Error> {
        let moves =
            found.into_iter().flat_map(|found| found.moves.iter().map(|mv| (found.key, mv)));
        let wanted = moves.filter(|(_, mv)| codes.contains(&mv.code));
        wanted.filter_map(|(key, mv)| Behind::of(cache, position, key, mv).transpose()).collect()
    }

    /// Behind the one of all other moves that most of their games have, if there is one. Where each
    /// has but few of them, what is behind it moves their common score little.
    pub fn most_others<C: Counts>(
        cache: &Cache<'_, C>,
        position: &Chess,
        found: Option<&PositionCounts>,
        codes: &[MoveCode],
    ) -> Result<Vec<Behind>, C::Error> {
        let games = |mv: &MoveCounts| mv.games(MoverFilter::ALL);
        let moves = found.into_iter().flat_map(|found| &found.moves);
        let others: Vec<_> = moves.filter(|mv| !codes.contains(&mv.code)).collect();
        let all: u64 = others.iter().copied().map(games).sum();
        let most = others.into_iter().find(|mv| 2 * games(mv) > all).map(|mv| mv.code);
        Behind::each(cache, position, found, most.as_slice())
    }

    /// None of a code that is no legal move there, and of too few games to ask for.
    fn of<C: Counts>(
        cache: &Cache<'_, C>,
        position: &Chess,
        key: Key,
        mv: &MoveCounts,
    ) -> Result<Option<Behind>, C::Error> {
        let Some(played) = mv.code.to_move(position) else { return Ok(None) };
        if mv.games(MoverFilter::ALL) < ANSWERED_FROM {
            return Ok(None);
        }
        let key = behind(key, position, played);
        let counts = cache.position(key)?;
        Ok(Some(Behind { code: mv.code, games: PerCell::of_move(mv), key, counts }))
    }

    /// Games with the move, by movers of the filter.
    pub fn games(&self, filter: MoverFilter) -> u64 {
        self.games.sum(filter, |sum, games| sum + games)
    }
}
