//! Interval estimates against those of statsmodels and scipy: the table is made by
//! scripts/reference/interval_tables.py and names the versions in its first line.

use deadfall::answers::stats::{
    Factor, Interval, newcombe_difference, product, product_interval, tango, wilson,
};
use deadfall::counts::{Rating, expected_milli};

const TABLE: &str = include_str!("../golden/statistics.csv");

/// The table is written with twelve significant digits.
const PRECISION: f64 = 1e-11;

/// Input and numbers of each row of a kind.
fn rows(kind: &str) -> Vec<(&'static str, Vec<f64>)> {
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

fn whole(text: &str) -> Vec<u64> {
    text.split('/').map(|number| number.parse().expect("a count")).collect()
}

fn assert_interval(input: &str, found: Option<Interval>, expected: &[f64]) {
    let found = found.expect("there are games");
    for (found, expected) in [found.low, found.high].into_iter().zip(expected) {
        assert!((found - expected).abs() < PRECISION, "{input}: {found} {expected}");
    }
}

#[test]
fn intervals_of_shares_are_wilsons() {
    for (input, expected) in rows("wilson") {
        let [k, n] = whole(input)[..] else { panic!("{input}") };
        assert_interval(input, wilson(k, n), &expected);
    }
}

#[test]
fn intervals_of_scores_are_tangos() {
    for (input, expected) in rows("tango") {
        let [wins, draws, losses] = whole(input)[..] else { panic!("{input}") };
        assert_interval(input, tango(wins, draws, losses), &expected);
    }
}

#[test]
fn intervals_of_differences_of_shares_are_newcombes() {
    for (input, expected) in rows("newcombe") {
        let counts: Vec<u64> = input.split('-').flat_map(whole).collect();
        let [k1, n1, k2, n2] = counts[..] else { panic!("{input}") };
        assert_interval(input, newcombe_difference(k1, n1, k2, n2), &expected);
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
        assert_interval(input, Some(product_interval(&factors)), &expected);
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
