//! How often the trap arises and is sprung: occurrence, steered, slips per 1000 games, and ahead.

use super::evidence::{Evidence, Split};
use super::{Ahead, Choice, Steered};
use crate::answers::figure::Estimate;
use crate::answers::stats::{
    Factor, FactorId, Interval, Part, WeightedProducts, combine, needs_pooling,
};
use crate::answers::{Mean, Question, Rate, Withheld};
use crate::counts::{BandRange, MoverFilter};

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
    let all = evidence.totals.sum(evidence.victim, question.filter).games;
    Rate::of(games, all, question.min_sample)
}

/// The share of each move that the line needs, over all victims of the filter.
pub(super) fn choices(evidence: &Evidence, question: &Question) -> Vec<Choice> {
    let choice = |node: &super::evidence::Node| {
        let Split { k, n } = node.split(question.filter);
        Choice { san: node.numbered(), share: Rate::of(k, n, question.min_sample) }
    };
    evidence.choices.iter().map(choice).collect()
}

/// Steered and slips per 1000 games.
pub(super) fn reach(evidence: &Evidence, question: &Question) -> Reach {
    let least = question.min_sample.max(1);
    let filter = question.filter;
    let pooled: Vec<Split> = evidence.choices.iter().map(|node| node.split(filter)).collect();
    let slip = evidence.slip.split(filter);
    let slip_rate = Rate::of(slip.k, slip.n, least);
    let thin = pooled.iter().chain([&slip]).any(|split| split.n < least);

    let games = evidence.totals.sum(evidence.victim, filter).games;
    // Behind a move that no game plays there is nothing left to multiply.
    let never = pooled.iter().position(|split| split.k == 0).filter(|_| games > 0);
    let line = Line::new(evidence, filter, never.map_or(pooled.len(), |place| place + 1), least);
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
    let slips = slips(&line, &rate, &slip_rate, slip);
    let never = never.map(|place| evidence.choices[place].numbered());
    Reach { steered: Steered { rate, mixed: line.mixed, never }, slips, thin }
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

/// The needed shares of each band of victims, and which of them are borrowed.
struct Line {
    /// Games that the band plays as the victim's colour, and its shares at the choices.
    bands: Vec<(f64, Vec<Split>)>,
    /// The shares of all bands of the filter together.
    pooled: Vec<Split>,
    least: u64,
    mixed: bool,
}

impl Line {
    fn new(evidence: &Evidence, filter: MoverFilter, choices: usize, least: u64) -> Line {
        let nodes = &evidence.choices[..choices];
        let shares = |filter| nodes.iter().map(|node| node.split(filter)).collect::<Vec<_>>();
        let band = |band| {
            let only = MoverFilter { bands: BandRange::only(band), ..filter };
            let games = evidence.totals.sum(evidence.victim, only).games;
            (games > 0).then(|| (games as f64, shares(only)))
        };
        let bands: Vec<_> = filter.bands.bands().filter_map(band).collect();
        let thin = bands.iter().flat_map(|(_, own)| own).any(|split| split.n < least);
        Line { mixed: thin && bands.len() > 1, bands, pooled: shares(filter), least }
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
        let mut average = WeightedProducts::default();
        let mut rows: Vec<Vec<FactorId>> = vec![Vec::new(); self.bands.len().max(1)];
        for (choice, &pooled) in self.pooled.iter().enumerate() {
            let shared = average.factor(factor(pooled));
            let own = |row: usize| self.bands.get(row).map(|(_, own)| own[choice]);
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
            average.row(self.bands.get(row).map_or(1.0, |(games, _)| *games), &ids);
        }
        average
    }
}

fn factor(split: Split) -> Factor {
    Factor::new(split.k, split.n)
}
