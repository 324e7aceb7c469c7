//! How often the trap arises and is sprung: occurrence, steered, slips per 1000 games, and ahead.

use super::cells::PerCell;
use super::evidence::{Evidence, Node, Split};
use super::{Ahead, Choice, Steered};
use crate::answers::figure::Estimate;
use crate::answers::stats::{
    Factor, FactorId, Interval, Part, WeightedProducts, combine, needs_pooling,
};
use crate::answers::{Mean, Question, Rate, Withheld};
use crate::terms::{BandRange, MoverFilter};

/// How often a student who always plays the line gets the trap position, and the slip in it.
pub(super) struct Reach {
    pub steered: Steered,
    /// Slips per 1000 games.
    pub slips: Mean,
    /// Whether some choice of the victim, or the trap position, has fewer games than the sample.
    pub thin: bool,
}

impl Reach {
    /// The same with a chance of getting the trap position that comes from elsewhere.
    pub fn given(self, rate: Rate, slip_rate: &Rate) -> Reach {
        let n = rate.n.min(slip_rate.n);
        let result = rate.as_piece("steered").and_then(|reached| {
            let slip = slip_rate.as_piece("slip rate")?;
            let part = |derivative: f64, of: Estimate| {
                Part::new(1000.0 * derivative, of.value, of.interval)
            };
            let value = 1000.0 * reached.value * slip.value;
            let parts = [part(slip.value, reached), part(reached.value, slip)];
            Ok(Estimate { value, interval: combine(value, &parts) })
        });
        let slips = Mean::from_result(result, n);
        Reach { steered: Steered { rate, mixed: false, never: None }, slips, thin: self.thin }
    }
}

/// Victims' games in the trap position among all games that they play as that colour.
pub(super) fn occurrence(evidence: &Evidence, question: &Question) -> Rate {
    let games = evidence.slip.split(question.filter).n;
    Rate::of(games, evidence.games_of_victims(question.filter), question.sampling())
}

/// The share of each move that the line needs, over all movers of the filter.
pub(super) fn choices(nodes: &[Node], question: &Question) -> Vec<Choice> {
    let choice = |node: &Node| {
        let Split { k, n } = node.split(question.filter);
        Choice { san: node.numbered(), share: Rate::of(k, n, question.sampling()) }
    };
    nodes.iter().map(choice).collect()
}

/// One side's choices along a line, and all games of that side.
#[derive(Clone, Copy)]
pub(super) struct Way<'a> {
    pub nodes: &'a [Node],
    pub games: &'a PerCell<u64>,
}

impl Way<'_> {
    fn all_games(&self, filter: MoverFilter) -> u64 {
        self.games.sum(filter, |sum, games| sum + games)
    }
}

/// Steered and slips per 1000 games.
pub(super) fn reach(evidence: &Evidence, question: &Question) -> Reach {
    let least = question.min_sample.max(1);
    let filter = question.filter;
    let way = Way { nodes: &evidence.choices, games: evidence.victims_games() };
    let (steered, line) = steered(way, question);
    let slip = evidence.slip.split(filter);
    let mut splits = way.nodes.iter().map(|node| node.split(filter)).chain([slip]);
    let thin = splits.any(|split| split.n < least);
    let slip_rate = Rate::of(slip.k, slip.n, least);
    let slips = slips(&line, &steered.rate, &slip_rate, slip);
    Reach { steered, slips, thin }
}

/// The product of the shares of the moves that the way needs, averaged over the bands of who makes them.
pub(super) fn steered(way: Way<'_>, question: &Question) -> (Steered, Line) {
    let least = question.min_sample.max(1);
    let pooled: Vec<Split> = way.nodes.iter().map(|node| node.split(question.filter)).collect();
    let games = way.all_games(question.filter);
    // Behind a move that no game plays there is nothing left to multiply.
    let never = pooled.iter().position(|split| split.k == 0).filter(|_| games > 0);
    let line = Line::new(way, question, never.map_or(pooled.len(), |place| place + 1));
    let thinnest = match never {
        Some(place) => pooled.get(place),
        None => pooled.iter().min_by_key(|split| (split.n, split.k)),
    };
    let &Split { k, n } = thinnest.unwrap_or(&Split { k: games, n: games });
    let certain = pooled.is_empty() && games > 0;
    let rate = if n >= least || never.is_some() || certain {
        let Estimate { value, interval } = line.average(&[]);
        Rate::known(value, interval, k, n)
    } else {
        Rate::withheld(k, n, Withheld::TooFew { n, needed: least })
    };
    let never = never.map(|place| way.nodes[place].numbered());
    (Steered { rate, mixed: line.mixed, never }, line)
}

/// 1000 x steered x slip rate, the slip as one more factor that all bands share.
fn slips(line: &Line, steered: &Rate, slip_rate: &Rate, slip: Split) -> Mean {
    let n = steered.n.min(slip_rate.n);
    let result = steered.as_piece("steered").and_then(|steered| {
        let share = slip_rate.as_piece("slip rate")?.value;
        let interval = line.average(&[Factor::new(slip.k, slip.n)]).interval;
        let value = steered.value * share;
        let interval = interval.including(value).scale(1000.0);
        Ok(Estimate { value: 1000.0 * value, interval: interval.including(1000.0 * value) })
    });
    Mean::from_result(result, n)
}

/// The next games of a student who always plays the line.
pub(super) fn ahead(slips: &Mean, games: u64) -> Ahead {
    let map = |f: &dyn Fn(f64) -> f64| {
        let result = slips.as_piece("slips per 1000").map(|Estimate { value, interval }| {
            let interval = Interval::new(f(interval.low), f(interval.high));
            Estimate { value: f(value), interval }
        });
        Mean::from_result(result, slips.n)
    };
    let number = games as f64;
    Ahead {
        games,
        expected: map(&|slips| number * slips / 1000.0),
        at_least_one: map(&|slips| 1.0 - (1.0 - slips / 1000.0).max(0.0).powf(number)),
    }
}

/// The needed shares of each band of movers, and which of them are borrowed.
pub(super) struct Line {
    /// Games that the band plays as that colour, and its shares at the choices.
    pub bands: Vec<(BandRange, u64, Vec<Split>)>,
    /// The shares of all bands of the filter together.
    pub pooled: Vec<Split>,
    least: u64,
    cluster: f64,
    mixed: bool,
}

impl Line {
    fn new(way: Way<'_>, question: &Question, choices: usize) -> Line {
        let (filter, least) = (question.filter, question.min_sample.max(1));
        let nodes = &way.nodes[..choices];
        let shares = |filter| nodes.iter().map(|node| node.split(filter)).collect::<Vec<_>>();
        let band = |band| {
            let range = BandRange::only(band);
            let only = MoverFilter { bands: range, ..filter };
            let games = way.all_games(only);
            (games > 0).then(|| (range, games, shares(only)))
        };
        let bands: Vec<_> = filter.bands.bands().filter_map(band).collect();
        let thin = bands.iter().flat_map(|(.., own)| own).any(|split| split.n < least);
        let cluster = question.cluster;
        Line { mixed: thin && bands.len() > 1, bands, pooled: shares(filter), least, cluster }
    }

    /// The share that a band uses at a choice: its own, or that of all bands where it is too thin.
    pub fn used(&self, band: usize, choice: usize) -> (Split, bool) {
        let own = self.bands[band].2[choice];
        if own.n >= self.least { (own, false) } else { (self.pooled[choice], true) }
    }

    /// The average over the bands of the product of their shares and the `extra` factors.
    ///
    /// The value takes each band's own shares wherever it has enough games. The interval also lets
    /// all bands borrow where they have too few hits, see [`needs_pooling`].
    fn average(&self, extra: &[Factor]) -> Estimate {
        let value = self.products(extra, false).value();
        let interval = self.products(extra, true).interval();
        let value = value.unwrap_or(0.0);
        Estimate {
            value,
            interval: interval.map_or(Interval::point(value), |i| i.including(value)),
        }
    }

    fn products(&self, extra: &[Factor], borrow: bool) -> WeightedProducts {
        let mut average = WeightedProducts::in_clusters(self.cluster);
        let mut rows: Vec<Vec<FactorId>> = vec![Vec::new(); self.bands.len().max(1)];
        for (choice, &pooled) in self.pooled.iter().enumerate() {
            let shared = average.factor(factor(pooled));
            let own = |row: usize| self.bands.get(row).map(|(.., own)| own[choice]);
            let full = |row: usize| own(row).filter(|split| split.n >= self.least);
            let factors: Vec<Factor> = (0..rows.len()).filter_map(full).map(factor).collect();
            let all_borrow = borrow && needs_pooling(&factors);
            for (row, ids) in rows.iter_mut().enumerate() {
                ids.push(match full(row) {
                    Some(split) if !all_borrow => average.factor(factor(split)),
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

fn factor(split: Split) -> Factor {
    Factor::new(split.k, split.n)
}
