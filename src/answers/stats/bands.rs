//! A line of choices, band by band: which bands share their games at a choice, and the average of
//! the bands' products.

use super::interval::Interval;
use super::product::Factor;
use super::weighted::{FactorId, WeightedProducts, needs_pooling};

/// A band has a share of its own at a choice from so many games on. Games, not effective ones, and
/// no option: what is pooled decides values, and a value must not depend on what is hidden.
pub const OWN_SHARE_FROM: u64 = 50;

/// One choice of the line, over the bands.
#[derive(Clone, Debug, PartialEq)]
pub struct BandChoice {
    /// Games of each band that made the choice and games in which it was to be made, bands in
    /// ascending order.
    pub bands: Vec<(u64, u64)>,
    /// D of the position under the filter, at least 1.
    pub design_effect: f64,
}

impl BandChoice {
    /// All bands together.
    pub fn all(&self) -> Factor {
        self.pool(&(0..self.bands.len()).collect::<Vec<_>>())
    }

    /// The pooled share of some bands.
    pub fn pool(&self, bands: &[usize]) -> Factor {
        let (k, n) = bands.iter().fold((0, 0), |sum, &band| {
            let (k, n) = self.bands[band];
            (sum.0 + k, sum.1 + n)
        });
        Factor::new(k, n).with_effect(self.design_effect)
    }

    /// The bands that share their games here: see [`pools`].
    pub fn pools(&self) -> Vec<Vec<usize>> {
        pools(&self.bands.iter().map(|&(_, n)| n).collect::<Vec<_>>())
    }
}

/// Divides bands with these games, in ascending order of the ratings, into pools; every band is in
/// exactly one, so that each game counts once.
///
/// A band with [`OWN_SHARE_FROM`] games or more is a pool of its own. The others are pooled with
/// each other only, since a share borrowed from all bands would count games twice and carry a trend
/// over the ratings into the product. A pool that is still thin takes in the nearest of the others,
/// once: the one with the least distance to any band of the pool, of two the one with more games.
pub fn pools(games: &[u64]) -> Vec<Vec<usize>> {
    let (mut thin, full): (Vec<usize>, Vec<usize>) =
        (0..games.len()).partition(|&band| games[band] < OWN_SHARE_FROM);
    let pooled: u64 = thin.iter().map(|&band| games[band]).sum();
    let mut taken = None;
    if !thin.is_empty() && pooled < OWN_SHARE_FROM {
        let distance = |band: usize| thin.iter().map(|&other| other.abs_diff(band)).min();
        taken = full.iter().copied().min_by_key(|&band| (distance(band), u64::MAX - games[band]));
    }
    thin.extend(taken);
    thin.sort_unstable();
    let own = full.into_iter().filter(|&band| Some(band) != taken).map(|band| vec![band]);
    own.chain((!thin.is_empty()).then_some(thin.clone())).collect()
}

/// A line of choices of the players of several bands.
///
/// The setter's moves are taken to be equally frequent in all bands. Shares are those of the
/// players who came to a choice, so this matters within a pool alone: the pooled share weighs its
/// bands by their games there, which the setters' moves decide along with the victims' own. It lies
/// between the lowest and the highest share of the pool's bands whatever the weights, so at one
/// choice it is wrong by at most their difference, and the average by at most that times the part
/// of all weights that the pool's bands have.
#[derive(Clone, Debug, PartialEq)]
pub struct BandLine {
    /// Games that each band plays as that colour: what its product weighs.
    pub weights: Vec<u64>,
    /// The choices in order.
    pub choices: Vec<BandChoice>,
}

impl BandLine {
    /// Whether some bands share their games at some choice.
    pub fn mixed(&self) -> bool {
        self.choices.iter().any(|choice| choice.pools().len() < choice.bands.len())
    }

    /// The product of the shares and of the `extra` factors, which all bands share, averaged over
    /// the bands by weight, and its interval with this multiplier of a standard error; `None` if no
    /// band has a weight.
    ///
    /// The interval also lets all bands use one share where they have too few hits, see
    /// [`needs_pooling`]; the value does not.
    pub fn average(&self, extra: &[Factor], quantile: f64) -> Option<(f64, Interval)> {
        let pooled: Vec<Pooled> = self.choices.iter().map(Pooled::of).collect();
        let own = self.products(&pooled, extra, false);
        let value = own.value()?;
        let interval = match pooled.iter().any(|choice| needs_pooling(&choice.shares)) {
            true => self.products(&pooled, extra, true).interval(quantile)?,
            false => own.interval(quantile)?,
        };
        Some((value, interval.including(value)))
    }

    fn products(&self, pooled: &[Pooled], extra: &[Factor], borrow: bool) -> WeightedProducts {
        let mut average = WeightedProducts::default();
        let mut rows: Vec<Vec<FactorId>> = vec![Vec::new(); self.weights.len()];
        for (choice, Pooled { pools, shares }) in self.choices.iter().zip(pooled) {
            if borrow && needs_pooling(shares) {
                let all = average.factor(choice.all());
                rows.iter_mut().for_each(|row| row.push(all));
                continue;
            }
            for (pool, &share) in pools.iter().zip(shares) {
                let id = average.factor(share);
                pool.iter().for_each(|&band| rows[band].push(id));
            }
        }
        let extra: Vec<FactorId> = extra.iter().map(|&factor| average.factor(factor)).collect();
        for (mut row, &weight) in rows.into_iter().zip(&self.weights) {
            row.extend(&extra);
            average.row(weight as f64, &row);
        }
        average
    }
}

/// The pools of a choice's bands, and the share of each.
struct Pooled {
    pools: Vec<Vec<usize>>,
    shares: Vec<Factor>,
}

impl Pooled {
    fn of(choice: &BandChoice) -> Pooled {
        let pools = choice.pools();
        let shares = pools.iter().map(|pool| choice.pool(pool)).collect();
        Pooled { pools, shares }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::answers::stats::{T_95, product_interval};
    use proptest::prelude::*;

    #[test]
    fn thin_bands_are_pooled_with_each_other_only() {
        assert_eq!(pools(&[30, 80, 20, 90]), [vec![1], vec![3], vec![0, 2]]);
        assert_eq!(pools(&[50, 60]), [[0], [1]]);
        assert!(pools(&[]).is_empty());
    }

    #[test]
    fn a_thin_pool_takes_in_the_nearest_band_once() {
        assert_eq!(pools(&[10, 50, 90]), [vec![2], vec![0, 1]]);
        // Two are as near: the one with more games.
        assert_eq!(pools(&[60, 9, 70, 500]), [vec![0], vec![3], vec![1, 2]]);
        // 10 + 5 games at both ends; still thin with nothing left to take in.
        assert_eq!(pools(&[10, 50, 60, 5]), [vec![1], vec![0, 2, 3]]);
        assert_eq!(pools(&[10, 5, 0]), [[0, 1, 2]]);
    }

    /// By hand: band 0 with weight 1 and shares 40/80; bands 1 and 2 with weights 2 and 1 pool 6/20
    /// and 10/40 into 16/60.
    #[test]
    fn the_value_is_the_weighted_mean_of_own_and_pooled_shares() {
        let choice = BandChoice { bands: vec![(40, 80), (6, 20), (10, 40)], design_effect: 1.5 };
        let line = BandLine { weights: vec![1, 2, 1], choices: vec![choice] };
        assert!(line.mixed());
        let (value, interval) = line.average(&[], T_95).expect("weights");
        assert!((value - (0.5 + 3.0 * 16.0 / 60.0) / 4.0).abs() < 1e-12);
        assert!(interval.contains(value));
    }

    #[test]
    fn one_band_is_a_plain_product_of_effective_shares() {
        let choice = |k, n| BandChoice { bands: vec![(k, n)], design_effect: 2.0 };
        let line = BandLine { weights: vec![9], choices: vec![choice(300, 600), choice(60, 200)] };
        let factors =
            [(300, 600), (60, 200), (20, 100)].map(|(k, n)| Factor::new(k, n).with_effect(2.0));
        let (value, interval) = line.average(&factors[2..], T_95).expect("weights");
        assert!((value - 0.5 * 0.3 * 0.2).abs() < 1e-12);
        assert_eq!(interval, product_interval(&factors, T_95));
        assert!(!line.mixed());
    }

    /// By hand: own shares 0/50 and 1/100, equal weights, average 0.005; one hit in two bands is
    /// too few for shares of their own, so the interval is that of 1/150, which has another value.
    #[test]
    fn rare_hits_share_the_interval_and_not_the_value() {
        let choice = BandChoice { bands: vec![(0, 50), (1, 100)], design_effect: 1.0 };
        let line = BandLine { weights: vec![1, 1], choices: vec![choice] };
        let (value, interval) = line.average(&[], T_95).expect("weights");
        assert!((value - 0.005).abs() < 1e-15);
        let shared = product_interval(&[Factor::new(1, 150)], T_95);
        assert!((interval.low - shared.low.min(value)).abs() < 1e-15, "{interval:?} {shared:?}");
        assert!((interval.high - shared.high).abs() < 1e-15, "{interval:?} {shared:?}");
    }

    proptest! {
        #[test]
        fn every_band_is_in_one_pool_and_at_most_one_pool_is_thin(games in prop::collection::vec(0..120u64, 1..30)) {
            let pools = pools(&games);
            let mut seen: Vec<usize> = pools.iter().flatten().copied().collect();
            seen.sort_unstable();
            prop_assert_eq!(seen, (0..games.len()).collect::<Vec<_>>());
            let thin = pools.iter().filter(|pool| pool.iter().map(|&band| games[band]).sum::<u64>() < OWN_SHARE_FROM);
            prop_assert!(thin.count() <= usize::from(pools.len() == 1));
        }
    }
}
