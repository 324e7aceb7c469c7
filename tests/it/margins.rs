//! Margins of games whose players come again, against statsmodels and scipy: rows of the same
//! table, see scripts/reference/margin_tables.py.

use deadfall::answers::stats::{
    ByGroup, CalibrationSums, DesignEffect, Factor, GroupErrors, GroupedShare, Interval, Margin,
    Moments, Slope, T_95, mean_time, occurrence_effect, predictive_range, product,
    product_interval, t_multiplier, tango, wilson,
};

use super::statistics::{assert_interval, rows, whole};

/// What is before and behind the `#`: counts and their margin.
fn counts(text: &str) -> (&str, Margin) {
    let (counts, effect) = text.split_once('#').expect("a design effect");
    (counts, Margin::of(effect.parse().expect("a number")))
}

fn by_group(text: &str) -> Vec<ByGroup> {
    text.split(';').map(|games| whole(games).try_into().expect("32 groups")).collect()
}

/// Equal to ten digits or so.
fn assert_near(input: &str, found: f64, expected: f64) {
    assert!((found / expected - 1.0).abs() < 1e-9, "{input}: {found} {expected}");
}

#[test]
fn multipliers_are_students_quantiles() {
    for (miss, expected) in rows("t_multiplier") {
        assert_near(miss, t_multiplier(miss.parse().expect("a probability")), expected[0]);
    }
}

#[test]
fn shares_take_effective_counts_and_students_quantile() {
    for (input, expected) in rows("t_wilson") {
        let (text, margin) = counts(input);
        let [k, n] = whole(text)[..] else { panic!("{input}") };
        assert_interval(input, wilson(k, n, margin.z()), &expected);
    }
}

#[test]
fn scores_take_effective_counts_and_students_quantile() {
    for (input, expected) in rows("t_tango") {
        let (text, margin) = counts(input);
        let [wins, draws, losses] = whole(text)[..] else { panic!("{input}") };
        assert_interval(input, tango(wins, draws, losses, margin.z()), &expected);
    }
}

#[test]
fn products_take_effective_counts_and_students_quantile() {
    for (input, expected) in rows("t_product") {
        let factor = |text| match (counts(text), whole(counts(text).0).as_slice()) {
            ((_, margin), &[k, n]) => Factor::new(k, n).with_effect(margin.design_effect),
            _ => panic!("{input}"),
        };
        let factors: Vec<Factor> = input.split('*').map(factor).collect();
        let value = product(&factors);
        let expected = [expected[0].min(value), expected[1].min(1.0).max(value)];
        assert_interval(input, Some(product_interval(&factors, T_95)), &expected);
    }
}

#[test]
fn times_take_effective_counts_and_students_quantile() {
    for (input, expected) in rows("t_time") {
        let (text, margin) = counts(input);
        let group = |group| match whole(group)[..] {
            [n, sum, sum_sq] => Moments { n, sum, sum_sq },
            _ => panic!("{input}"),
        };
        let groups: Vec<Moments> = text.split('+').map(group).collect();
        let (_, found) = mean_time(&groups, margin).expect("two in a group");
        assert_near(input, found.low, expected[0]);
        assert_near(input, found.high, expected[1]);
    }
}

#[test]
fn design_effects_are_those_of_cluster_robust_variances() {
    for (input, expected) in rows("design") {
        let effect = DesignEffect::of(&by_group(input));
        let [clustered, games_a_player] = expected[..] else { panic!("{input}") };
        assert_near(input, effect.games_a_player, games_a_player.max(1.0));
        assert_near(input, effect.share, clustered.max(1.0 + 0.35 * (effect.games_a_player - 1.0)));
    }
    for (input, expected) in rows("occurrence") {
        let [games, all] = by_group(input)[..] else { panic!("{input}") };
        assert_near(input, occurrence_effect(&games, &all), expected[0].max(1.0));
    }
}

/// The covariance comes back from the correlation by design effects large enough that no
/// limit is met.
#[test]
fn shares_of_two_months_hang_together_as_clusters_do() {
    for (input, expected) in rows("change") {
        let [k1, n1, k2, n2] = by_group(input)[..] else { panic!("{input}") };
        let design_effect = 40.0;
        let months = [(k1, n1), (k2, n2)].map(|(k, n)| GroupedShare { k, n, design_effect });
        let deviation = |month: &GroupedShare| {
            let (k, n) = (month.k.iter().sum::<u64>() as f64, month.n.iter().sum::<u64>() as f64);
            (design_effect * k / n * (1.0 - k / n) / n).sqrt()
        };
        let [first, second] = months.map(|month| GroupErrors::of_product(&[month]));
        let found = first.correlation(&second);
        let found = found * deviation(&months[0]) * deviation(&months[1]);
        if expected[0] < 0.0 {
            assert_eq!(found, 0.0, "{input}: {expected:?}");
        } else {
            assert_near(input, found, expected[0]);
        }
    }
}

/// Games by expectation and result.
fn calibration(input: &str) -> CalibrationSums {
    let mut sums = CalibrationSums::default();
    for row in input.split(';') {
        let (expected, results) = row.split_once(':').expect("an expectation");
        let (expected, results) = (expected.parse::<f64>().expect("a number"), whole(results));
        let [wins, draws, losses] = results[..] else { panic!("{input}") };
        let games = wins + draws + losses;
        sums.games += games;
        sums.wins += wins;
        sums.draws += draws;
        sums.expected += games as f64 * expected;
        sums.expected_sq += games as f64 * expected * expected;
        sums.expected_result += expected * (wins as f64 + 0.5 * draws as f64);
    }
    sums
}

#[test]
fn slopes_are_those_of_least_squares_and_shrunk() {
    for (input, expected) in rows("slope") {
        let (slope, error) = Slope::of(&calibration(input), 1.0).own.expect("a spread");
        assert_near(input, slope, expected[0]);
        assert_near(input, error, expected[1]);
    }
    for (input, expected) in rows("slope_shrunk") {
        assert_interval(input, Some(Slope::of(&calibration(input), 1.0).interval), &expected);
    }
}

#[test]
fn what_comes_next_is_a_binomial_number_mixed_over_the_margin() {
    let numbers = |input: &str| -> Vec<f64> {
        input.split('/').map(|number| number.parse().expect("a number")).collect()
    };
    for (input, expected) in rows("predictive") {
        let [low, high, games] = numbers(input)[..] else { panic!("{input}") };
        let (low, high) = predictive_range(Interval::new(low, high), games as u64);
        assert_eq!([low as f64, high as f64], expected[..], "{input}");
    }
    // A beta chance is not quite log-normal: one off at the most.
    for (input, expected) in rows("predictive_beta") {
        let [k, n, games] = whole(input)[..] else { panic!("{input}") };
        let interval = product_interval(&[Factor::new(k, n)], T_95);
        let (low, high) = predictive_range(interval, games);
        let off = [low as f64 - expected[0], high as f64 - expected[1]].map(f64::abs);
        assert!(off.iter().all(|off| *off <= 1.0), "{input}: {low} to {high}, not {expected:?}");
    }
}
