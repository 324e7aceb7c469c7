//! The mean score of wins, draws and losses, and Tango's score interval for it.
//!
//! With delta = (wins - losses) / n the mean score is (1 + delta) / 2, and delta is a difference of
//! paired proportions: wins against losses, draws concordant. Score intervals are published for
//! that difference.

use super::interval::Interval;

/// The mean score (wins + draws / 2) / games, 0 to 1, or `None` without games.
pub fn mean_score(wins: u64, draws: u64, losses: u64) -> Option<f64> {
    let games = wins + draws + losses;
    (games > 0).then(|| (wins as f64 + 0.5 * draws as f64) / games as f64)
}

/// Tango's score interval of the mean score at this quantile, or `None` without games.
///
/// T. Tango 1998, Statistics in Medicine 17:891-908. It equals Wilson's interval without draws,
/// mirrors when the sides swap, and keeps a width even if all games end alike.
pub fn tango(wins: u64, draws: u64, losses: u64, z: f64) -> Option<Interval> {
    let games = wins + draws + losses;
    if games == 0 {
        return None;
    }
    let n = games as f64;
    let (won, lost) = (wins as f64 / n, losses as f64 / n);
    let high = highest_difference(won, lost, n, z);
    let low = -highest_difference(lost, won, n, z);
    let interval = Interval::new((1.0 + low) / 2.0, (1.0 + high) / 2.0);
    // The last bit of rounding must not put the mean outside.
    Some(interval.including(mean_score(wins, draws, losses)?))
}

/// The upper limit of won - lost: the largest delta in -1..=1 with n (delta - (won - lost))^2 <=
/// z^2 v(delta).
///
/// Bisection, because the score statistic is monotone in delta while Newton's step fails where v
/// has a kink (no losses, or nothing but draws).
fn highest_difference(won: f64, lost: f64, n: f64, z: f64) -> f64 {
    let estimate = won - lost;
    let compatible = |delta: f64| {
        let off = delta - estimate;
        n * off * off <= z * z * variance_given(delta, won, lost)
    };
    let (mut inside, mut outside) = (estimate, 1.0);
    if estimate >= 1.0 || compatible(outside) {
        return 1.0;
    }
    // The limit can be as small as 1 / n: 110 halvings leave 2^-109, full precision for n
    // up to 10^16.
    for _ in 0..110 {
        let middle = inside + 0.5 * (outside - inside);
        if middle == inside || middle == outside {
            break;
        }
        if compatible(middle) {
            inside = middle;
        } else {
            outside = middle;
        }
    }
    outside
}

/// Variance of one game's win - loss when its mean is held at `delta`: p_win + p_loss - delta^2 at
/// the most likely p_win and p_loss with p_win - p_loss = `delta`.
fn variance_given(delta: f64, won: f64, lost: f64) -> f64 {
    if delta < 0.0 {
        return variance_given(-delta, lost, won);
    }
    2.0 * loss_given(delta, won, lost) + delta * (1.0 - delta)
}

/// The most likely chances of win, draw and loss whose win - loss is `delta` (-1..=1), for the
/// observed shares `won` and `lost`.
pub(super) fn likeliest_given(delta: f64, won: f64, lost: f64) -> [f64; 3] {
    if delta < 0.0 {
        let [loss, draw, win] = likeliest_given(-delta, lost, won);
        return [win, draw, loss];
    }
    let loss = loss_given(delta, won, lost).clamp(0.0, (1.0 - delta) / 2.0);
    [loss + delta, 1.0 - delta - 2.0 * loss, loss]
}

/// The most likely p_loss with p_win - p_loss = `delta` >= 0.
fn loss_given(delta: f64, won: f64, lost: f64) -> f64 {
    // The larger root of 2 q^2 + b q - c = 0; c >= 0 here, so the discriminant never turns
    // negative, and the root is written so that it never subtracts nearly equal numbers.
    let b = 2.0 * delta - (won + lost) - (won - lost) * delta;
    let c = lost * delta * (1.0 - delta);
    let root = (b * b + 8.0 * c).sqrt();
    if b <= 0.0 { (root - b) / 4.0 } else { 2.0 * c / (root + b) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::answers::stats::{Z_95, wilson};
    use proptest::prelude::*;

    fn close(a: Interval, b: Interval, tolerance: f64) -> bool {
        (a.low - b.low).abs() <= tolerance && (a.high - b.high).abs() <= tolerance
    }

    /// Bisection of Tango's equation in 60 digits with mpmath 1.4.1.
    #[test]
    #[rustfmt::skip]
    fn tango_holds_from_one_game_to_a_million_million() {
        for (wins, draws, losses, low, high) in [
            (0, 1, 0, 0.10327465718861871, 0.8967253428113813),
            (1, 1, 0, 0.25678517062998985, 0.9527343971328847),
            (1, 1, 1, 0.1537976290063116, 0.8462023709936884),
            (3, 1_000_000, 2, 0.4999977014669808, 0.5000035169904345),
            (1, 999_999_999_999, 0, 0.49999999999857925, 0.5000000000028325),
            (1, 0, 999_999_999_999, 1.7652455493517475e-13, 5.664934265736511e-12),
            (0, 1, 999_999_999_999, 8.826227746758738e-14, 4.3414588206774474e-12),
            (999_999_999_999, 0, 1, 0.9999999999943351, 0.9999999999998235),
            (500_000_000_000, 300_000_000_000, 200_000_000_000, 0.6499992346091618, 0.6500007653899692),
        ] {
            let got = tango(wins, draws, losses, Z_95).expect("games");
            assert!(close(got, Interval::new(low, high), 1e-15), "{wins}/{draws}/{losses}: {got:?}");
        }
    }

    #[test]
    fn without_games_there_is_no_score() {
        assert_eq!(mean_score(0, 0, 0), None);
        assert_eq!(tango(0, 0, 0, Z_95), None);
    }

    #[test]
    fn all_games_alike_keep_a_width() {
        for (w, d, l) in [(7, 0, 0), (0, 7, 0), (0, 0, 7)] {
            assert!(tango(w, d, l, Z_95).expect("games").width() > 0.1);
        }
        assert_eq!(tango(7, 0, 0, Z_95).expect("games").high, 1.0);
        assert_eq!(tango(0, 0, 7, Z_95).expect("games").low, 0.0);
    }

    /// The limit from the formula: with draws alone v = delta (1 - delta), so delta = z^2
    /// / (n + z^2).
    #[test]
    fn a_million_million_draws_still_have_an_interval() {
        let n = 1_000_000_000_000;
        let got = tango(0, n, 0, Z_95).expect("games");
        let delta = Z_95 * Z_95 / (n as f64 + Z_95 * Z_95);
        assert!((2.0 * got.high - 1.0 - delta).abs() < 1e-15);
        assert!(got.low < 0.5 && 0.5 < got.high);
    }

    /// For large counts the interval tends to the normal one, mean +- z sqrt(v / n).
    #[test]
    fn huge_counts_meet_the_normal_interval() {
        let unit = 100_000_000_000;
        let got = tango(5 * unit, 3 * unit, 2 * unit, Z_95).expect("games");
        let half = Z_95 * ((0.5 + 0.3 / 4.0 - 0.65f64.powi(2)) / 1e12).sqrt();
        assert!(close(got, Interval::new(0.65 - half, 0.65 + half), 1e-11));
    }

    fn count() -> impl Strategy<Value = u64> {
        prop_oneof![Just(0), 1..20u64, 1..10_000u64, some()]
    }

    fn some() -> impl Strategy<Value = u64> {
        prop_oneof![1..20u64, 1..10_000u64, 1..=1_000_000_000_000u64]
    }

    /// Wins, draws and losses, not all of them 0.
    fn games() -> impl Strategy<Value = (u64, u64, u64)> {
        prop_oneof![
            (some(), count(), count()),
            (count(), some(), count()),
            (count(), count(), some())
        ]
    }

    /// The largest likelihood under the constraint, found with SciPy 1.17.1,
    /// `scipy.optimize.brentq` of its derivative; at the observed difference the observed shares.
    #[test]
    fn the_likeliest_chances_equal_an_independent_search() {
        for (delta, won, lost, win, loss) in [
            (-0.2, 0.5, 0.3, 0.3093171219946131, 0.5093171219946131),
            (0.2, 0.5, 0.3, 0.5, 0.3),
            (0.4, 0.1, 0.6, 0.6036126343151007, 0.2036126343151006),
            (-0.7, 0.2, 0.5, 0.0672531290914593, 0.7672531290914593),
            (0.0, 0.5, 0.3, 0.4, 0.4),
            (0.0, 0.0, 0.0, 0.0, 0.0),
        ] {
            let [w, d, l] = likeliest_given(delta, won, lost);
            assert!((w - win).abs() < 1e-12 && (l - loss).abs() < 1e-12, "{delta}: {w} {d} {l}");
            assert!((w + d + l - 1.0).abs() < 1e-12, "{delta}: {w} {d} {l}");
        }
    }

    /// Without draws they may only round to less than nothing.
    #[test]
    fn likeliest_chances_are_chances() {
        for step in -99..=99 {
            for wins in 0..=20 {
                let won = f64::from(wins) / 20.0;
                let chances = likeliest_given(f64::from(step) / 100.0, won, 1.0 - won);
                assert!(chances.iter().all(|chance| *chance >= 0.0), "{step} {wins} {chances:?}");
            }
        }
    }

    /// By hand, to first order: c / b = 1e-12 x 0.3 x 0.7 / 0.6; subtracting nearly equal numbers
    /// would leave four digits.
    #[test]
    fn a_tiny_chance_of_losing_keeps_its_digits() {
        assert!((loss_given(0.3, 0.0, 1e-12) / 3.5e-13 - 1.0).abs() < 1e-9);
    }

    proptest! {
        #[test]
        fn the_mean_is_inside_and_the_interval_never_collapses((w, d, l) in games()) {
            let got = tango(w, d, l, Z_95).expect("games");
            let mean = mean_score(w, d, l).expect("games");
            prop_assert!(got.contains(mean), "{:?} {}", got, mean);
            prop_assert!(0.0 <= got.low && got.low < got.high && got.high <= 1.0);
        }

        #[test]
        fn swapping_the_sides_mirrors((w, d, l) in games()) {
            let there = tango(w, d, l, Z_95).expect("games");
            prop_assert!(close(there, tango(l, d, w, Z_95).expect("games").scale(-1.0).shift(1.0), 1e-15));
        }

        #[test]
        fn without_draws_it_is_wilson((w, l) in prop_oneof![(some(), count()), (count(), some())]) {
            let (got, want) = (tango(w, 0, l, Z_95).expect("games"), wilson(w, w + l, Z_95).expect("games"));
            prop_assert!(close(got, want, 1e-12 + 1e-6 * want.width()), "{:?} {:?}", got, want);
        }

        #[test]
        fn a_draw_turned_into_a_win_raises_both_ends(w in 0..5000u64, d in 1..5000u64, l in 0..5000u64) {
            let (before, after) = (tango(w, d, l, Z_95).expect("games"), tango(w + 1, d - 1, l, Z_95).expect("games"));
            prop_assert!(before.low < after.low + 1e-15 && before.high < after.high + 1e-15);
        }

        #[test]
        fn four_times_the_games_narrow_it(w in 0..5000u64, d in 0..5000u64, l in 1..5000u64) {
            let (few, many) = (tango(w, d, l, Z_95).expect("games"), tango(4 * w, 4 * d, 4 * l, Z_95).expect("games"));
            prop_assert!(many.width() < few.width());
        }
    }
}
