//! Whose games are the measure.

use crate::lines::OwnGame;
use crate::terms::{BAND_WIDTH, BandRange};

/// The 200 points around the median of the ratings in the games, on band edges: the two bands around the edge that is nearest
/// to it, the higher one of two. `None` without a rating.
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
