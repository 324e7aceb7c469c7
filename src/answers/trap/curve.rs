//! A trap over the ratings: neighbouring bands joined until their games suffice.
//!
//! Bands are joined from the lowest up until 50 games are together, without a look at the rates and
//! whatever the minimum sample, so that no edge can be chosen to flatter. Where the slip rate falls
//! below a level is read off the fit that never rises; its interval is the profile likelihood's.
//! One design effect holds for a position and filter: a band alone has too few games for its own.

use super::asked::Asked;
use super::evidence::Evidence;
use super::report::{Curve, SlipBelow, Stretch};
use super::scores::score_effects;
use crate::answers::Figure;
use crate::answers::joined::join;
use crate::answers::stats::{Factor, OWN_SHARE_FROM, falls_below};
use crate::terms::{BAND_WIDTH, Band, BandRange, MoverFilter};

/// The three figures over the ratings.
///
/// Bands are joined from the lowest up, by their counts alone, so that no choice of edges can
/// flatter a figure; a rest that does not suffice joins the last stretch. A joined figure is that
/// of all its games together. What suffices is a fixed number of games, as for the shares of bands,
/// so that no minimum sample moves a value.
pub(super) fn curve(evidence: &Evidence, asked: &Asked<'_>) -> Curve {
    let of = |range| MoverFilter { bands: range, ..asked.filter() };
    let slipped = |range| evidence.by_victims(true, of(range));
    let scores =
        asked.sampling(score_effects(evidence, asked).slipped).lacking(evidence.slip.lacking);
    Curve {
        slip_rate: stretches(
            asked,
            |range| evidence.slip.split(of(range)).n,
            |range| asked.of_bands(range).share(&evidence.slip),
        ),
        find_rate: stretches(
            asked,
            |range| evidence.refutations(of(range)).n,
            |range| asked.of_bands(range).find_rate(&evidence.replies),
        ),
        edge_after_slip: stretches(
            asked,
            |range| slipped(range).games(),
            |range| slipped(range).edge(scores),
        ),
        slip_below: asked.question.slip_below.map(|level| slip_below(evidence, asked, level)),
    }
}

/// Joins the bands of the filter.
fn stretches(
    asked: &Asked<'_>,
    games: impl Fn(BandRange) -> u64,
    figure: impl Fn(BandRange) -> Figure,
) -> Vec<Stretch> {
    let bands = asked.filter().bands.bands().map(|band| (band, games(BandRange::only(band))));
    let ranges = join(bands, OWN_SHARE_FROM);
    let stretch = |range: BandRange| Stretch {
        from: range.from,
        below: range.below,
        joined: range.below > range.from + BAND_WIDTH,
        figure: figure(range),
    };
    ranges.into_iter().map(stretch).collect()
}

/// The rating from which fewer than `level` of the victims slip.
fn slip_below(evidence: &Evidence, asked: &Asked<'_>, level: f64) -> SlipBelow {
    let slip = &evidence.slip;
    let of = |band| slip.split(MoverFilter { bands: BandRange::only(band), ..asked.filter() });
    let bands = asked.filter().bands.bands().map(|band| (band, of(band)));
    let (bands, groups): (Vec<Band>, Vec<Factor>) = bands.filter(|(_, split)| split.n > 0).unzip();
    let n = groups.iter().map(|group| group.n).sum::<u64>();
    let sampling = asked.shares(slip);
    let fall = falls_below(&groups, level, sampling.margin).filter(|_| sampling.suffices(n));
    let rating = |place: usize| bands.get(place).map(|band| band.from());
    SlipBelow {
        level,
        value: fall.and_then(|fall| rating(fall.place)),
        low: fall.and_then(|fall| rating(fall.low)),
        high: fall.and_then(|fall| rating(fall.high)),
        n,
        n_eff: n as f64 / sampling.margin.design_effect,
        reached: fall.is_some_and(|fall| fall.place < bands.len()),
        withheld: fall.is_none().then(|| sampling.too_few(n)),
    }
}
