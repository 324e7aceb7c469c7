//! How often the trap arises and is sprung: steered, slips per 1000 games, and ahead.

use super::asked::Asked;
use super::cells::PerCell;
use super::evidence::Node;
use super::report::{Ahead, Choice, NextSlips, Steered};
use crate::answers::Figure;
use crate::answers::stats::{BandChoice, BandLine, Factor, Interval, T_95, predictive_range};
use crate::counts::Lacking;
use crate::terms::{BandRange, MoverFilter};

/// The share of each move that the line needs, over all movers of the filter.
pub(super) fn choices(nodes: &[Node<'_>], asked: &Asked<'_>) -> Vec<Choice> {
    let choice = |node: &Node<'_>| Choice { san: node.numbered(), share: asked.share(node) };
    nodes.iter().map(choice).collect()
}

/// One side's choices along a line, and all games of that side.
#[derive(Clone, Copy)]
pub(super) struct SideChoices<'a> {
    pub nodes: &'a [Node<'a>],
    pub games: &'a PerCell<u64>,
}

impl SideChoices<'_> {
    fn all_games(&self, filter: MoverFilter) -> u64 {
        self.games.sum(filter, |sum, games| sum + games)
    }

    /// The shares of each band of movers that plays games, along the first `choices` choices.
    fn steering(&self, asked: &Asked<'_>, choices: usize) -> Steering {
        let filter = asked.filter();
        let only = |bands| MoverFilter { bands, ..filter };
        let bands = filter.bands.bands().map(BandRange::only);
        let bands = bands.map(|band| (band, self.all_games(only(band))));
        let (bands, weights): (Vec<BandRange>, Vec<u64>) =
            bands.filter(|(_, games)| *games > 0).unzip();
        let choice = |node: &Node<'_>| {
            let split = |&band: &BandRange| node.split(only(band));
            let bands = bands.iter().map(split).map(|Factor { k, n, .. }| (k, n));
            BandChoice { bands: bands.collect(), design_effect: asked.effect(node).share }
        };
        let choices = self.nodes[..choices].iter().map(choice).collect();
        Steering { line: BandLine { weights, choices }, bands }
    }
}

/// What the chance of getting the trap position is made of.
pub(super) struct Steering {
    /// Bands in which the movers of these choices play, in order.
    pub bands: Vec<BandRange>,
    /// Their shares, and all their games of that colour as weights.
    pub line: BandLine,
}

/// The product of the shares of the moves that the line needs, averaged over the bands of
/// who makes them.
///
/// It rests on the rarest of the steps: the one that fewest different players had to choose.
pub(super) fn steered(side: SideChoices<'_>, asked: &Asked<'_>) -> (Steered, Steering) {
    let splits: Vec<Factor> = side.nodes.iter().map(|node| asked.split(node)).collect();
    let games = side.all_games(asked.filter());
    // Behind a move that no game plays there is nothing left to multiply.
    let never = splits.iter().position(|split| split.k == 0);
    let steering = side.steering(asked, never.map_or(splits.len(), |place| place + 1));
    let effective = |place: &usize| splits[*place].n as f64 / splits[*place].design_effect;
    let rarest =
        never.or_else(|| (0..splits.len()).min_by(|a, b| effective(a).total_cmp(&effective(b))));
    // Without a choice each game gets there.
    let Factor { k, n, design_effect } =
        rarest.map_or(Factor::new(games, games), |place| splits[place]);
    let lacking = rarest.map_or(Lacking::NOTHING, |place| side.nodes[place].lacking);
    let sampling = asked.sampling(design_effect).lacking(lacking);
    let enough = sampling.suffices(n) || rarest.is_none() && games > 0;
    let rate = match steering.line.average(&[], T_95).filter(|_| enough) {
        Some((value, interval)) => Figure::known(value, interval, n).with_effect(design_effect),
        None => sampling.withheld(n),
    };
    let numbered = |place: usize| side.nodes[place].numbered();
    let never = never.filter(|_| rate.value.is_some()).map(numbered);
    let mixed = steering.line.mixed();
    (Steered { rate: rate.with_k(k), rarest: rarest.map(numbered), mixed, never }, steering)
}

/// 1000 x steered x slip rate, the slip as one more factor that all bands share.
pub(super) fn slips(
    steering: &Steering,
    steered: &Figure,
    slip_rate: &Figure,
    slip: Factor,
) -> Figure {
    let pieces = [("steered", steered), ("slip_rate", slip_rate)];
    Figure::derived(pieces, |[(steered, _), (slipped, _)]| {
        let value = steered * slipped;
        let average = steering.line.average(&[slip], T_95);
        let interval = average.map_or(Interval::point(value), |(_, interval)| interval);
        let interval = interval.including(value).scale(1000.0);
        (1000.0 * value, interval.including(1000.0 * value))
    })
}

/// The same where the chance of getting the trap position comes from elsewhere: 1000 x chance
/// x slip rate.
pub(super) fn slips_of(pieces: [(&'static str, &Figure); 2]) -> Figure {
    Figure::combined(pieces, |[s, p]| (1000.0 * s * p, [1000.0 * p, 1000.0 * s]))
}

/// The next games of a student who always plays the line.
pub(super) fn ahead(slips: &Figure, games: u64) -> Ahead {
    let map = |f: &dyn Fn(f64) -> f64| {
        Figure::derived([("slips_per_1000", slips)], |[(value, interval)]| {
            (f(value), Interval::new(f(interval.low), f(interval.high)))
        })
    };
    let number = games as f64;
    let chance = |per_1000: f64| (per_1000 / 1000.0).clamp(0.0, 1.0);
    let range = slips.low.zip(slips.high).map(|(low, high)| {
        let (low, high) = predictive_range(Interval::new(chance(low), chance(high)), games);
        NextSlips { low, high }
    });
    Ahead {
        games,
        expected: map(&|slips| number * slips / 1000.0),
        range,
        at_least_one: map(&|slips| 1.0 - (1.0 - slips / 1000.0).max(0.0).powf(number)),
    }
}
