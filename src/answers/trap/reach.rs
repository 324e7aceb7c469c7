//! How often the trap arises and is sprung: steered, slips per 1000 games, and ahead.

use super::cells::PerCell;
use super::evidence::Node;
use super::report::{Ahead, Choice, Steered};
use crate::answers::stats::{Factor, FactorId, Interval, WeightedProducts, needs_pooling};
use crate::answers::{Figure, Question, Sampling};
use crate::terms::{BandRange, MoverFilter};

/// The share of each move that the line needs, over all movers of the filter.
pub(super) fn choices(nodes: &[Node<'_>], question: &Question) -> Vec<Choice> {
    let choice = |node: &Node<'_>| {
        let Factor { k, n, .. } = node.split(question.filter);
        Choice { san: node.numbered(), share: question.sampling().share(k, n) }
    };
    nodes.iter().map(choice).collect()
}

/// One side's choices along a line, and all games of that side.
#[derive(Clone, Copy)]
pub(super) struct Way<'a> {
    pub nodes: &'a [Node<'a>],
    pub games: &'a PerCell<u64>,
}

impl Way<'_> {
    fn all_games(&self, filter: MoverFilter) -> u64 {
        self.games.sum(filter, |sum, games| sum + games)
    }
}

/// The product of the shares of the moves that the way needs, averaged over the bands of who makes them.
pub(super) fn steered(way: Way<'_>, question: &Question) -> (Steered, BandShares) {
    let sampling = question.sampling();
    let pooled: Vec<Factor> = way.nodes.iter().map(|node| node.split(question.filter)).collect();
    let games = way.all_games(question.filter);
    // Behind a move that no game plays there is nothing left to multiply.
    let never = pooled.iter().position(|split| split.k == 0).filter(|_| games > 0);
    let shares = BandShares::new(way, question, never.map_or(pooled.len(), |place| place + 1));
    let thinnest = match never {
        Some(place) => pooled.get(place),
        None => pooled.iter().min_by_key(|split| (split.n, split.k)),
    };
    let &Factor { k, n, .. } = thinnest.unwrap_or(&Factor::new(games, games));
    let certain = pooled.is_empty() && games > 0;
    let rate = if n >= sampling.least() || never.is_some() || certain {
        let (value, interval) = shares.average(&[]);
        Figure::known(value, interval, n)
    } else {
        Figure::withheld(n, sampling.too_few(n))
    };
    let never = never.map(|place| way.nodes[place].numbered());
    (Steered { rate: rate.with_k(k), mixed: shares.mixed, never }, shares)
}

/// 1000 x steered x slip rate, the slip as one more factor that all bands share.
pub(super) fn slips(shares: &BandShares, steered: &Figure, slip_rate: &Figure) -> Figure {
    let slip = Factor::new(slip_rate.k.unwrap_or(0), slip_rate.n);
    let pieces = [("steered", steered), ("slip_rate", slip_rate)];
    Figure::derived(pieces, |[(steered, _), (slipped, _)]| {
        let interval = shares.average(&[slip]).1;
        let value = steered * slipped;
        let interval = interval.including(value).scale(1000.0);
        (1000.0 * value, interval.including(1000.0 * value))
    })
}

/// The same where the chance of getting the trap position comes from elsewhere.
pub(super) fn slips_of(steered: &Figure, slip_rate: &Figure) -> Figure {
    Figure::combined([("steered", steered), ("slip_rate", slip_rate)], |[s, p]| {
        (1000.0 * s * p, [1000.0 * p, 1000.0 * s])
    })
}

/// The next games of a student who always plays the line.
pub(super) fn ahead(slips: &Figure, games: u64) -> Ahead {
    let map = |f: &dyn Fn(f64) -> f64| {
        Figure::derived([("slips_per_1000", slips)], |[(value, interval)]| {
            (f(value), Interval::new(f(interval.low), f(interval.high)))
        })
    };
    let number = games as f64;
    Ahead {
        games,
        expected: map(&|slips| number * slips / 1000.0),
        at_least_one: map(&|slips| 1.0 - (1.0 - slips / 1000.0).max(0.0).powf(number)),
    }
}

/// The needed shares of each band of movers, and which of them are borrowed.
pub(super) struct BandShares {
    /// Games that the band plays as that colour, and its shares at the choices.
    pub bands: Vec<(BandRange, u64, Vec<Factor>)>,
    /// The shares of all bands of the filter together.
    pub pooled: Vec<Factor>,
    sampling: Sampling,
    mixed: bool,
}

impl BandShares {
    fn new(way: Way<'_>, question: &Question, choices: usize) -> BandShares {
        let (filter, sampling) = (question.filter, question.sampling());
        let nodes = &way.nodes[..choices];
        let shares = |filter| nodes.iter().map(|node| node.split(filter)).collect::<Vec<_>>();
        let band = |band| {
            let range = BandRange::only(band);
            let only = MoverFilter { bands: range, ..filter };
            let games = way.all_games(only);
            (games > 0).then(|| (range, games, shares(only)))
        };
        let bands: Vec<_> = filter.bands.bands().filter_map(band).collect();
        let thin = bands.iter().flat_map(|(.., own)| own).any(|split| split.n < sampling.least());
        let mixed = thin && bands.len() > 1;
        BandShares { mixed, bands, pooled: shares(filter), sampling }
    }

    /// The share that a band uses at a choice: its own, or that of all bands where it is too thin.
    pub fn used(&self, band: usize, choice: usize) -> (Factor, bool) {
        let own = self.bands[band].2[choice];
        if own.n >= self.sampling.least() { (own, false) } else { (self.pooled[choice], true) }
    }

    /// The average over the bands of the product of their shares and the `extra` factors.
    ///
    /// The value takes each band's own shares wherever it has enough games. The interval also lets
    /// all bands borrow where they have too few hits, see [`needs_pooling`].
    fn average(&self, extra: &[Factor]) -> (f64, Interval) {
        let value = self.products(extra, false).value();
        let interval = self.products(extra, true).interval();
        let value = value.unwrap_or(0.0);
        (value, interval.map_or(Interval::point(value), |interval| interval.including(value)))
    }

    fn products(&self, extra: &[Factor], borrow: bool) -> WeightedProducts {
        let mut average = WeightedProducts::default();
        let mut rows: Vec<Vec<FactorId>> = vec![Vec::new(); self.bands.len().max(1)];
        for (choice, &pooled) in self.pooled.iter().enumerate() {
            let shared = average.factor(pooled);
            let own = |row: usize| self.bands.get(row).map(|(.., own)| own[choice]);
            let full = |row: usize| own(row).filter(|split| split.n >= self.sampling.least());
            let factors: Vec<Factor> = (0..rows.len()).filter_map(full).collect();
            let all_borrow = borrow && needs_pooling(&factors);
            for (row, ids) in rows.iter_mut().enumerate() {
                ids.push(match full(row) {
                    Some(split) if !all_borrow => average.factor(split),
                    _ => shared,
                });
            }
        }
        let extra: Vec<FactorId> = extra.iter().map(|&factor| average.factor(factor)).collect();
        for (row, mut ids) in rows.into_iter().enumerate() {
            ids.extend(&extra);
            // Without any game of these victims the pooled shares stand alone.
            average.row(self.bands.get(row).map_or(1.0, |(_, games, _)| *games as f64), &ids);
        }
        average
    }
}
