//! Neighbouring bands joined until their games suffice.

use crate::terms::{Band, BandRange};

/// Stretches of neighbouring bands, each from its first to its last band with games and, but for a
/// store of fewer, with `least` games.
///
/// Bands are joined from the lowest up, by their counts alone, so that no choice of edges can
/// flatter a figure; a rest that does not suffice joins the last stretch.
pub(super) fn join(bands: impl Iterator<Item = (Band, u64)>, least: u64) -> Vec<BandRange> {
    let mut done: Vec<BandRange> = Vec::new();
    let mut open: Option<(BandRange, u64)> = None;
    for (band, games) in bands.filter(|(_, games)| *games > 0) {
        let (range, before) = open.unwrap_or((BandRange::only(band), 0));
        let range = BandRange { below: band.below(), ..range };
        open = Some((range, before + games));
        if before + games >= least {
            done.push(range);
            open = None;
        }
    }
    match (open, done.last_mut()) {
        (Some((rest, _)), Some(last)) => last.below = rest.below,
        (Some((rest, _)), None) => done.push(rest),
        (None, _) => {}
    }
    done
}

#[cfg(test)]
mod tests {
    use super::*;

    fn joined(games: &[u64], least: u64) -> Vec<(u16, u16)> {
        let bands = Band::all().zip(games.iter().copied());
        join(bands, least).into_iter().map(|range| (range.from, range.below)).collect()
    }

    #[test]
    fn bands_are_joined_until_their_games_suffice() {
        assert_eq!(joined(&[10, 4, 6, 12], 10), [(0, 100), (100, 300), (300, 400)]);
    }

    #[test]
    fn empty_bands_lie_inside_a_stretch_but_not_at_its_ends() {
        assert_eq!(joined(&[0, 5, 0, 5, 0, 10], 10), [(100, 400), (500, 600)]);
    }

    #[test]
    fn a_rest_joins_the_last_stretch() {
        assert_eq!(joined(&[10, 10, 3], 10), [(0, 100), (100, 300)]);
        assert_eq!(joined(&[2, 3], 10), [(0, 200)]);
        assert_eq!(joined(&[0, 0], 10), []);
    }
}
