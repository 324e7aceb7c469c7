//! Shares that never rise from one group to the next, and where they fall below a level.

use super::margin::Margin;
use super::product::Factor;

/// The shares of the groups under the constraint that they never rise: maximum likelihood, by
/// pooling adjacent violators (M. Ayer et al. 1955, Annals of Mathematical Statistics 26:641-647),
/// weighted by games. A group without games takes the share of the group before it, or of the
/// first with games.
pub fn never_rising(groups: &[Factor]) -> Vec<f64> {
    // Blocks of groups: hits, games, how many groups.
    let mut blocks: Vec<(u64, u64, usize)> = Vec::new();
    for group in groups {
        let mut block = (group.k, group.n, 1);
        while let Some(&(k, n, size)) = blocks.last() {
            // k / n < block's share, or one of the two is empty.
            let rises = u128::from(k) * u128::from(block.1) < u128::from(block.0) * u128::from(n);
            if !rises && n > 0 && block.1 > 0 {
                break;
            }
            blocks.pop();
            block = (block.0 + k, block.1 + n, block.2 + size);
        }
        blocks.push(block);
    }
    let share =
        |&(k, n, size): &(u64, u64, usize)| std::iter::repeat_n(Factor::new(k, n).share(), size);
    blocks.iter().flat_map(share).collect()
}

/// From which group on the shares lie below a level, as a place among the groups; their number
/// means "from none".
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Fall {
    /// The first group whose fitted share is below the level.
    pub place: usize,
    /// The lowest place that the counts do not contradict.
    pub low: usize,
    /// The highest one.
    pub high: usize,
}

/// Where shares that never rise fall below `level` (0 to 1), with an interval of this margin;
/// `None` without games. One design effect holds for all groups.
///
/// The interval holds every place whose profile likelihood (the best never rising shares that are
/// at least the level before the place and at most the level from it on), divided by the design
/// effect, is within half the squared quantile of the best one, for z = 1.96 half the 95 % quantile
/// of chi-squared with one degree of freedom: a likelihood ratio test at one point of a monotone
/// function, as in M. Banerjee and J. A. Wellner 2001, Annals of Statistics 29:1699-1731, whose
/// quantile for a continuous scale is 2.27; with groups the larger one is on the safe side.
pub fn falls_below(groups: &[Factor], level: f64, margin: Margin) -> Option<Fall> {
    if groups.iter().all(|group| group.n == 0) {
        return None;
    }
    let place = never_rising(groups).iter().position(|&share| share < level);
    let place = place.unwrap_or(groups.len());
    let profile: Vec<f64> = (0..=groups.len()).map(|at| likelihood(groups, level, at)).collect();
    let best = profile[place];
    let agrees = |at: &usize| 2.0 * (best - profile[*at]) <= margin.z().powi(2);
    let low = (0..=groups.len()).find(agrees).unwrap_or(place);
    let high = (0..=groups.len()).rev().find(agrees).unwrap_or(place);
    Some(Fall { place, low, high })
}

/// The best log-likelihood if the shares fall below the level just before the group `at`: on each
/// side the fit without a bound, cut at it.
fn likelihood(groups: &[Factor], level: f64, at: usize) -> f64 {
    let (before, behind) = groups.split_at(at);
    let above = never_rising(before).into_iter().map(|share| share.max(level));
    let below = never_rising(behind).into_iter().map(|share| share.min(level));
    let term = |times: u64, share: f64| if times == 0 { 0.0 } else { times as f64 * share.ln() };
    groups
        .iter()
        .zip(above.chain(below))
        .map(|(group, share)| term(group.k, share) + term(group.n - group.k, 1.0 - share))
        .sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn falls(groups: &[Factor], level: f64, design_effect: f64) -> Option<Fall> {
        falls_below(groups, level, Margin { design_effect, ..Margin::INDEPENDENT })
    }

    fn groups(counts: &[(u64, u64)]) -> Vec<Factor> {
        counts.iter().map(|&(k, n)| Factor::new(k, n)).collect()
    }

    #[test]
    fn a_group_without_games_follows_its_neighbour() {
        assert_eq!(
            never_rising(&groups(&[(0, 0), (4, 10), (0, 0), (1, 10)])),
            [0.4, 0.4, 0.4, 0.1]
        );
        assert!(never_rising(&[]).is_empty());
    }

    #[test]
    fn many_games_leave_one_place() {
        let fall = falls(&groups(&[(4000, 10_000), (3000, 10_000), (1000, 10_000)]), 0.2, 1.0);
        assert_eq!(fall, Some(Fall { place: 2, low: 2, high: 2 }));
    }

    /// By hand at level 1/5: group two has 3 of 20, so counting it as above costs 2 (3 ln(.15/.2) +
    /// 17 ln(.85/.8)) = 0.335.
    #[test]
    fn few_games_leave_several_places() {
        let counts = groups(&[(90, 100), (3, 20), (1, 100)]);
        let fall = falls(&counts, 0.2, 1.0).expect("games");
        assert_eq!(fall, Fall { place: 1, low: 1, high: 2 });
        assert!((likelihood(&counts, 0.2, 1) - likelihood(&counts, 0.2, 2) - 0.1677).abs() < 1e-3);
    }

    #[test]
    fn what_never_falls_is_not_reached() {
        let fall = falls(&groups(&[(50, 100), (40, 100)]), 0.01, 1.0).expect("games");
        assert_eq!(fall, Fall { place: 2, low: 2, high: 2 });
        assert_eq!(falls(&groups(&[(0, 0)]), 0.2, 1.0), None);
    }

    /// The mirror image: 5 of 20 above level 1/5, so counting it as below costs 2 (5 ln(.25/.2) +
    /// 15 ln(.75/.8)) = 0.295.
    #[test]
    fn the_place_may_lie_earlier_as_well() {
        let fall = falls(&groups(&[(90, 100), (5, 20), (1, 100)]), 0.2, 1.0);
        assert_eq!(fall, Some(Fall { place: 2, low: 1, high: 2 }));
    }

    /// By hand: 12 of 100 as above level 1/5 costs 2 (12 ln(.12/.2) + 88 ln(.88/.8)) = 4.51, more
    /// than 1.96^2 and less than 2.2^2; 3 of 20 costs 0.335, less than 1.
    #[test]
    fn the_limit_is_half_the_squared_quantile() {
        let with = |counts: &[(u64, u64)], quantile: f64| {
            let margin = Margin { quantile, ..Margin::INDEPENDENT };
            falls_below(&groups(counts), 0.2, margin).expect("games").high
        };
        let counts = [(90, 100), (12, 100), (1, 100)];
        assert_eq!([1.96, 2.2].map(|quantile| with(&counts, quantile)), [1, 2]);
        assert_eq!(with(&[(90, 100), (3, 20), (1, 100)], 1.0), 2);
    }

    #[test]
    fn a_share_at_the_level_is_not_below_it() {
        assert_eq!(falls(&groups(&[(20, 100)]), 0.2, 1.0).expect("games").place, 1);
        // None of ten where the share is 0: certain.
        assert_eq!(likelihood(&groups(&[(0, 10)]), 0.2, 0), 0.0);
    }

    proptest! {
        #[test]
        fn fitted_shares_never_rise_and_keep_the_sum(raw in prop::collection::vec((0..50u64, 1..60u64), 1..12)) {
            let counts: Vec<Factor> = raw.iter().map(|&(k, n)| Factor::new(k.min(n), n)).collect();
            let fitted = never_rising(&counts);
            prop_assert!(fitted.is_sorted_by(|a, b| a >= b));
            let hits: f64 = counts.iter().zip(&fitted).map(|(group, share)| group.n as f64 * share).sum();
            prop_assert!((hits - counts.iter().map(|group| group.k).sum::<u64>() as f64).abs() < 1e-9);
        }

        #[test]
        fn the_place_is_inside_and_clusters_only_widen(raw in prop::collection::vec((0..50u64, 1..60u64), 1..12), level in 0.01..0.9f64) {
            let counts: Vec<Factor> = raw.iter().map(|&(k, n)| Factor::new(k.min(n), n)).collect();
            let (one, three) = (falls(&counts, level, 1.0).expect("games"), falls(&counts, level, 3.0).expect("games"));
            prop_assert!(one.low <= one.place && one.place <= one.high && one.place == three.place);
            prop_assert!(three.low <= one.low && one.high <= three.high);
        }
    }
}
