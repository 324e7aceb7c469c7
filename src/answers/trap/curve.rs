//! A trap over the ratings: neighbouring bands joined until their games suffice.

use super::evidence::Evidence;
use super::{Curve, SlipBelow, Stretch};
use crate::answers::stats::{Factor, falls_below};
use crate::answers::{Question, Rate, Withheld};
use crate::terms::{Band, BandRange, MoverFilter};

/// The three figures over the ratings.
///
/// Bands are joined from the lowest up, by their counts alone, so that no choice of edges can flatter a figure; a rest that
/// does not suffice joins the last stretch. A joined figure is that of all its games together.
pub(super) fn curve(evidence: &Evidence, question: &Question) -> Curve {
    let sampling = question.sampling();
    let of = |range| MoverFilter { bands: range, ..question.filter };
    let replies = |range| {
        let (found, missed) =
            (evidence.replies(true, of(range)), evidence.replies(false, of(range)));
        (found.games(), found.games() + missed.games())
    };
    let slip = |range| evidence.slip.split(of(range));
    let slipped = |range| evidence.by_victims(true, of(range));
    let find_rate = match evidence.refutation {
        Some(_) => stretches(
            question,
            |range| replies(range).1,
            |range| {
                let (k, n) = replies(range);
                Rate::of(k, n, sampling)
            },
        ),
        None => Vec::new(),
    };
    Curve {
        slip_rate: stretches(
            question,
            |range| slip(range).n,
            |range| Rate::of(slip(range).k, slip(range).n, sampling),
        ),
        find_rate,
        edge_after_slip: stretches(
            question,
            |range| slipped(range).games(),
            |range| slipped(range).edge(sampling),
        ),
        slip_below: question.slip_below.map(|level| slip_below(evidence, question, level)),
    }
}

/// Joins the bands of the filter.
fn stretches<T>(
    question: &Question,
    games: impl Fn(BandRange) -> u64,
    figure: impl Fn(BandRange) -> T,
) -> Vec<Stretch<T>> {
    let bands = question.filter.bands.bands().map(|band| (band, games(BandRange::only(band))));
    let ranges = join(bands, question.min_sample.max(1));
    let stretch = |range: BandRange| Stretch {
        from: range.from,
        below: range.below,
        joined: range != BandRange { below: range.from + crate::terms::BAND_WIDTH, ..range },
        figure: figure(range),
    };
    ranges.into_iter().map(stretch).collect()
}

/// Stretches of neighbouring bands, each from its first to its last band with games.
fn join(bands: impl Iterator<Item = (Band, u64)>, least: u64) -> Vec<BandRange> {
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

/// The rating from which fewer than `level` of the victims slip.
fn slip_below(evidence: &Evidence, question: &Question, level: f64) -> SlipBelow {
    let of =
        |band| evidence.slip.split(MoverFilter { bands: BandRange::only(band), ..question.filter });
    let bands = question.filter.bands.bands().map(|band| (band, of(band)));
    let bands: Vec<_> = bands.filter(|(_, split)| split.n > 0).collect();
    let groups: Vec<Factor> =
        bands.iter().map(|(_, split)| Factor::new(split.k, split.n)).collect();
    let n = groups.iter().map(|group| group.n).sum::<u64>();
    let least = question.min_sample.max(1);
    let fall = falls_below(&groups, level, question.cluster).filter(|_| n >= least);
    let Some(fall) = fall else {
        let withheld = Some(Withheld::TooFew { n, needed: least });
        return SlipBelow {
            level,
            value: None,
            low: None,
            high: None,
            n,
            reached: false,
            withheld,
        };
    };
    let rating = |place: usize| bands.get(place).map(|(band, _)| band.from());
    SlipBelow {
        level,
        value: rating(fall.place),
        low: rating(fall.low),
        high: rating(fall.high),
        n,
        reached: fall.place < bands.len(),
        withheld: None,
    }
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
