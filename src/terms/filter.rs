//! Whose choices are looked at.

use serde::Serialize;

use super::{BandRange, CellId, PaceSet};

/// A filter on the mover of a position: the mover's band and the pace of the game.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize)]
pub struct MoverFilter {
    /// Bands of the mover.
    #[serde(flatten)]
    pub bands: BandRange,
    /// Paces.
    #[serde(rename = "pace")]
    pub paces: PaceSet,
}

impl MoverFilter {
    /// Lets every cell through.
    pub const ALL: MoverFilter = MoverFilter { bands: BandRange::ALL, paces: PaceSet::ALL };

    /// Whether a cell passes.
    pub fn admits(self, id: CellId) -> bool {
        self.bands.contains(id.band()) && self.paces.contains(id.pace())
    }
}
