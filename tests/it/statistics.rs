//! Interval estimates against those of statsmodels and scipy: the table is made by
//! scripts/reference/interval_tables.py and names the versions in its first line.

use std::collections::BTreeMap;

use deadfall::answers::stats::{
    Factor, FactorId, Interval, Margin, Moments, Next, Part, PathId, PathSum, WeightedProducts,
    Z_95, combine, mean_time, never_rising, product, product_interval, share, tango, wilson,
};
use deadfall::terms::{Rating, expected_milli};

const TABLE: &str = include_str!("../golden/statistics.csv");

/// The table is written with twelve significant digits.
pub const PRECISION: f64 = 1e-11;

/// Input and numbers of each row of a kind.
pub fn rows(kind: &str) -> Vec<(&'static str, Vec<f64>)> {
    let rows: Vec<_> = TABLE
        .lines()
        .filter_map(|line| line.strip_prefix(kind)?.strip_prefix(','))
        .map(|row| {
            let (input, numbers) = row.split_once(',').expect("two columns");
            (input, numbers.split(',').filter_map(|number| number.parse().ok()).collect())
        })
        .collect();
    assert!(!rows.is_empty(), "{kind}");
    rows
}

pub fn whole(text: &str) -> Vec<u64> {
    text.split('/').map(|number| number.parse().expect("a count")).collect()
}

pub fn assert_interval(input: &str, found: Option<Interval>, expected: &[f64]) {
    let found = found.expect("there are games");
    for (found, expected) in [found.low, found.high].into_iter().zip(expected) {
        assert!((found - expected).abs() < PRECISION, "{input}: {found} {expected}");
    }
}

#[test]
fn intervals_of_shares_are_wilsons() {
    for (input, expected) in rows("wilson") {
        let [k, n] = whole(input)[..] else { panic!("{input}") };
        assert_interval(input, wilson(k, n, Z_95), &expected);
    }
}

#[test]
fn intervals_of_scores_are_tangos() {
    for (input, expected) in rows("tango") {
        let [wins, draws, losses] = whole(input)[..] else { panic!("{input}") };
        assert_interval(input, tango(wins, draws, losses, Z_95), &expected);
    }
}

/// Newcombe 1998, Statistics in Medicine 17:873-890, method 10: two Wilson intervals,
/// squared and added.
#[test]
fn intervals_of_differences_of_shares_are_newcombes() {
    for (input, expected) in rows("newcombe") {
        let counts: Vec<u64> = input.split('-').flat_map(whole).collect();
        let [k1, n1, k2, n2] = counts[..] else { panic!("{input}") };
        let part = |by, k, n| Some(Part::new(by, share(k, n)?, wilson(k, n, Z_95)?));
        let [Some(first), Some(second)] = [part(1.0, k1, n1), part(-1.0, k2, n2)] else {
            panic!("{input}")
        };
        let difference = first.estimate - second.estimate;
        let interval = combine(difference, &[first, second]);
        assert_interval(input, Some(interval), &expected);
    }
}

/// The bare formula is neither cut at 1 nor made to hold the value; ours is.
#[test]
fn intervals_of_products_are_log_normal() {
    for (input, expected) in rows("product") {
        let factors: Vec<Factor> = input
            .split('*')
            .map(|factor| match whole(factor)[..] {
                [k, n] => Factor::new(k, n),
                _ => panic!("{input}"),
            })
            .collect();
        let value = product(&factors);
        let expected = [expected[0].min(value), expected[1].min(1.0).max(value)];
        assert_interval(input, Some(product_interval(&factors, Z_95)), &expected);
    }
}

#[test]
fn expected_scores_are_rounded_to_thousandths() {
    let rating = |points| Rating::new(points).expect("a rating");
    for (difference, expected) in rows("expected") {
        let difference: u16 = difference.parse().expect("a difference");
        let milli = expected_milli(rating(1 + difference), rating(1));
        assert_eq!(f64::from(milli), expected[0], "{difference}");
    }
}

#[test]
fn intervals_of_mean_times_are_those_of_gamma_means() {
    for (input, expected) in rows("time") {
        let groups: Vec<Moments> = input
            .split('+')
            .map(|group| match whole(group)[..] {
                [n, sum, sum_sq] => Moments { n, sum, sum_sq },
                _ => panic!("{input}"),
            })
            .collect();
        let (mean, found) = mean_time(&groups, Margin::INDEPENDENT).expect("two in a group");
        // The closed form of large shapes has eight digits.
        for (found, expected) in [found.low, found.high].into_iter().zip(expected) {
            assert!((found - expected).abs() < 1e-9 * mean, "{input}: {found} {expected}");
        }
    }
}

/// The reference's gradient is numerical: nine digits. It neither cuts at 1 nor holds the value.
fn assert_nearly(input: &str, found: Interval, value: f64, expected: &[f64]) {
    let expected = [expected[0].min(value), expected[1].min(1.0).max(value)];
    for (found, expected) in [found.low, found.high].into_iter().zip(expected) {
        assert!((found / expected - 1.0).abs() < 1e-8, "{input}: {found} {expected}");
    }
}

#[test]
fn intervals_of_weighted_products_are_log_normal_too() {
    for (input, expected) in rows("weighted") {
        let mut average = WeightedProducts::default();
        let mut ids: BTreeMap<&str, FactorId> = BTreeMap::new();
        for row in input.split(';') {
            let (weight, factors) = row.split_once(':').expect("a weight");
            let id = |text| match whole(text)[..] {
                [k, n] => *ids.entry(text).or_insert_with(|| average.factor(Factor::new(k, n))),
                _ => panic!("{input}"),
            };
            let factors: Vec<FactorId> = factors.split('*').map(id).collect();
            average.row(weight.parse().expect("a weight"), &factors);
        }
        let value = average.value().expect("rows");
        assert_nearly(input, average.interval(Z_95).expect("rows"), value, &expected);
    }
}

#[test]
fn intervals_of_sums_over_paths_are_those_of_the_delta_method() {
    for (input, expected) in rows("paths") {
        let (mut sum, mut ids): (PathSum, Vec<PathId>) = (PathSum::default(), Vec::new());
        for node in input.split(';') {
            let (games, choices) = node.split_once('>').expect("games");
            let choice = |choice: &str| {
                let (k, next) = choice.split_once(':').expect("a choice");
                let next = match next {
                    "G" => Next::Goal,
                    earlier => Next::Node(ids[earlier.parse::<usize>().expect("a node")]),
                };
                (k.parse().expect("a count"), next)
            };
            let choices: Vec<(u64, Next)> = choices.split('&').map(choice).collect();
            ids.push(sum.node(games.parse().expect("a count"), 1.0, &choices));
        }
        let start = *ids.last().expect("nodes");
        assert_nearly(input, sum.interval(start, Z_95), sum.value(start), &expected);
    }
}

#[test]
fn shares_that_never_rise_are_the_isotonic_fit() {
    for (input, expected) in rows("never_rising") {
        let (groups, index) = input.split_once('#').expect("a place");
        let groups: Vec<Factor> = groups
            .split(';')
            .map(|group| match whole(group)[..] {
                [k, n] => Factor::new(k, n),
                _ => panic!("{input}"),
            })
            .collect();
        let found = never_rising(&groups)[index.parse::<usize>().expect("a place")];
        assert!((found - expected[0]).abs() < PRECISION, "{input}: {found} {expected:?}");
    }
}
