//! Band and pace together.

use super::{Band, Pace};

/// Band and pace of a cell in one byte: band index x 6 + pace index, so cells sort by
/// band, then pace.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct CellId(u8);

impl CellId {
    /// How many there are.
    pub const COUNT: usize = Band::COUNT * Pace::ALL.len();

    /// The id of a band and pace.
    pub fn new(band: Band, pace: Pace) -> CellId {
        CellId((band.index() * Pace::ALL.len() + pace.index()) as u8)
    }

    /// The byte as stored.
    pub fn bits(self) -> u8 {
        self.0
    }

    /// From its stored form, `None` if there is no such band.
    pub fn from_bits(bits: u8) -> Option<CellId> {
        (usize::from(bits) < Self::COUNT).then_some(CellId(bits))
    }

    /// The mover's band.
    pub fn band(self) -> Band {
        Band::from_index(usize::from(self.0) / Pace::ALL.len())
            .expect("a checked byte holds a band")
    }

    /// The pace.
    pub fn pace(self) -> Pace {
        Pace::ALL[usize::from(self.0) % Pace::ALL.len()]
    }

    /// Place among all ids.
    pub fn index(self) -> usize {
        usize::from(self.0)
    }
}
