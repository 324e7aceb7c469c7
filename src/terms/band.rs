//! Ratings and the bands they fall into.
//!
//! The band is the mover's: "what do players of 1200 do here?" asks about the player who has to
//! choose. A band of the game's mean rating would mix a 900 with a 1500. So a report on a trap
//! looks at victims' cells for slips and at setters' cells for replies.

use std::fmt;

use serde::{Deserialize, Serialize};

/// Width of a band in rating points.
pub const BAND_WIDTH: u16 = 100;

/// A player's rating, 1 to 3999 points.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Rating(u16);

impl Rating {
    /// The highest rating that counts.
    pub const MAX: u16 = 3999;

    /// `None` outside 1..=3999.
    pub fn new(points: u16) -> Option<Rating> {
        (1..=Self::MAX).contains(&points).then_some(Rating(points))
    }

    /// Rating points.
    pub fn points(self) -> u16 {
        self.0
    }

    /// The band that the rating falls into.
    pub fn band(self) -> Band {
        Band((self.0 / BAND_WIDTH) as u8)
    }
}

/// A rating interval [`BAND_WIDTH`] points wide, named by its lower edge.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Band(u8);

impl Band {
    /// How many bands there are: 0, 100, ... 3900.
    pub const COUNT: usize = Rating::MAX as usize / BAND_WIDTH as usize + 1;

    /// The band number `index`, `None` past the last.
    pub fn from_index(index: usize) -> Option<Band> {
        (index < Self::COUNT).then_some(Band(index as u8))
    }

    /// Place among the bands, lowest first.
    pub fn index(self) -> usize {
        usize::from(self.0)
    }

    /// Lowest rating of the band.
    pub fn from(self) -> u16 {
        u16::from(self.0) * BAND_WIDTH
    }

    /// First rating above the band.
    pub fn below(self) -> u16 {
        self.from() + BAND_WIDTH
    }

    /// All bands, lowest first.
    pub fn all() -> impl DoubleEndedIterator<Item = Band> {
        (0..Self::COUNT as u8).map(Band)
    }
}

impl fmt::Display for Band {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.from())
    }
}

/// Neighbouring bands, from a lower edge up to but not including an upper one.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct BandRange {
    /// Lower edge, inclusive, in rating points.
    pub from: u16,
    /// Upper edge, exclusive, in rating points.
    pub below: u16,
}

impl BandRange {
    /// Every band.
    pub const ALL: BandRange = BandRange { from: 0, below: Band::COUNT as u16 * BAND_WIDTH };

    /// `None` unless both ends lie on band edges and at least one band lies between them.
    pub fn new(from: u16, below: u16) -> Option<BandRange> {
        let on_edge = from.is_multiple_of(BAND_WIDTH) && below.is_multiple_of(BAND_WIDTH);
        (on_edge && from < below && below <= Self::ALL.below).then_some(BandRange { from, below })
    }

    /// The range that holds just this band.
    pub fn only(band: Band) -> BandRange {
        BandRange { from: band.from(), below: band.below() }
    }

    /// Whether the band lies in the range.
    pub fn contains(self, band: Band) -> bool {
        (self.from..self.below).contains(&band.from())
    }

    /// The bands of the range, lowest first.
    pub fn bands(self) -> impl DoubleEndedIterator<Item = Band> {
        Band::all().filter(move |&band| self.contains(band))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_rating_falls_into_the_band_that_starts_at_or_below_it() {
        let band = |points| Rating::new(points).expect("a valid rating").band().from();
        assert_eq!([band(1), band(99), band(100), band(1999), band(3999)], [0, 0, 100, 1900, 3900]);
    }

    #[test]
    fn ratings_outside_1_to_3999_are_none() {
        assert_eq!((Rating::new(0), Rating::new(4000)), (None, None));
    }

    #[test]
    fn a_range_off_the_band_edges_is_refused() {
        assert_eq!(BandRange::new(1250, 2000), None);
        assert_eq!(BandRange::new(2000, 2000), None);
        let range = BandRange::new(1200, 1400).expect("on the edges");
        assert_eq!(range.bands().map(Band::from).collect::<Vec<_>>(), [1200, 1300]);
    }
}
