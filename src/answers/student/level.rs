//! Whose games are the measure, and what they play.

#![expect(missing_docs, reason = "`help formats` explains the fields of answers")]

use serde::Serialize;
use shakmaty::Chess;

use crate::answers::moves::{MoveRow, rows};
use crate::answers::trap::Cache;
use crate::answers::{Figure, Question};
use crate::counts::Counts;
use crate::lines::OwnGame;
use crate::terms::{BAND_WIDTH, BandRange, Key};

/// Moves of the level that are told of one position.
pub(super) const TOLD: usize = 3;

/// The 200 points around the median of the ratings in the games, on band edges: the two bands
/// around the edge that is nearest to it, the higher one of two. `None` without a rating.
pub fn level_of(games: &[OwnGame]) -> Option<BandRange> {
    let median = median(games)?;
    let highest = BandRange::ALL.below - BAND_WIDTH;
    let nearest = (median + f64::from(BAND_WIDTH) / 2.0) as u16 / BAND_WIDTH * BAND_WIDTH;
    let middle = nearest.clamp(BAND_WIDTH, highest);
    BandRange::new(middle - BAND_WIDTH, middle + BAND_WIDTH)
}

/// The median of the student's ratings, of an even number the mean of the two in the middle.
pub(super) fn median(games: &[OwnGame]) -> Option<f64> {
    let mut ratings: Vec<u16> =
        games.iter().filter_map(|game| game.rating).map(|rating| rating.points()).collect();
    ratings.sort_unstable();
    let last = ratings.len().checked_sub(1)?;
    Some((f64::from(ratings[last / 2]) + f64::from(ratings[last.div_ceil(2)])) / 2.0)
}

/// What players of the level play.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LevelMove {
    pub san: String,
    pub uci: String,
    pub games: u64,
    pub share: Figure,
    pub score: Figure,
}

/// The moves that players of the level play in a position, most played first.
pub(super) fn level_moves<C: Counts>(
    cache: &Cache<'_, C>,
    position: &Chess,
    question: &Question,
) -> Result<Vec<MoveRow>, C::Error> {
    let found = cache.position(Key::of(position))?;
    rows(cache.counts(), found.as_deref(), position, cache.baseline(), question)
}

impl From<MoveRow> for LevelMove {
    fn from(row: MoveRow) -> LevelMove {
        let MoveRow { san, uci, games, share, score, .. } = row;
        LevelMove { san, uci, games, share, score }
    }
}
