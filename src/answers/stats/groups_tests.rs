use proptest::prelude::*;

use super::*;

/// The first groups' games; the others have none.
fn by_group(first: &[u64]) -> ByGroup {
    std::array::from_fn(|group| first.get(group).copied().unwrap_or(0))
}

/// By hand: groups of 10 games of one player each, all 10 alike: 32/31 x 10, and 10 games a player
/// are hidden by the even groups.
#[test]
fn ten_games_alike_tell_as_much_as_one() {
    let first: ByGroup = std::array::from_fn(|group| 10 * (group % 2) as u64);
    let effect = DesignEffect::of(&[first, first.map(|games| 10 - games)]);
    assert!((effect.share - 320.0 / 31.0).abs() < 1e-12);
    assert_eq!(effect.effective_games(), 31.0);
}

/// By hand: 3 and 1 games in two groups: n = 4, 9 + 1 - 16/32 = 9.5, by 4 x 31/32.
#[test]
fn games_a_player_come_from_uneven_groups() {
    assert!((games_a_player(&by_group(&[3, 1])) - 9.5 / 3.875).abs() < 1e-12);
    assert_eq!(games_a_player(&[7; GROUPS]), 1.0);
    assert_eq!(games_a_player(&[0; GROUPS]), 1.0);
}

/// One player with 100 games of one move: m = 100, so 1 + 0.7 x 99; with a single other game the
/// lesser bound holds.
#[test]
fn one_move_takes_the_correlation_of_choices() {
    let all = by_group(&[100]);
    assert!((DesignEffect::of(&[all, [0; GROUPS]]).share - (1.0 + 0.7 * 99.0)).abs() < 1e-9);
    let other = by_group(&[0, 1]);
    let effect = DesignEffect::of(&[all, other]);
    assert!((effect.share - (1.0 + 0.35 * (effect.games_a_player - 1.0))).abs() < 1e-9);
    assert!(
        (effect.of_residuals(0.02) - (1.0 + 0.02 * (effect.games_a_player - 1.0))).abs() < 1e-12
    );
}

#[test]
fn nothing_has_no_effect() {
    assert_eq!(DesignEffect::of(&[]).share, 1.0);
    assert_eq!(DesignEffect::of(&[[0; GROUPS]]).effective_games(), 0.0);
    assert_eq!(occurrence_effect(&[0; GROUPS], &[0; GROUPS]), 1.0);
    assert_eq!(occurrence_effect(&[0; GROUPS], &[9; GROUPS]), 1.0);
}

/// SciPy 1.17.1: `kurtosis(residuals, bias=False)` is 6.5631, so 1/f = 1/31 + 6.5631/32, and
/// `t.ppf(0.975, f)` is 2.72193; games that lie evenly have negative kurtosis.
#[test]
fn a_long_tail_of_the_groups_widens_an_occurrence() {
    let long = [6, 2, 1, 0, 3, 4, 0, 2].into_iter().chain([1, 2].into_iter().cycle());
    let long = by_group(&long.take(GROUPS).collect::<Vec<u64>>());
    let margin = occurrence_margin(&long, &[40; GROUPS]);
    assert!((margin.quantile - 2.7219303923427125).abs() < 1e-9, "{margin:?}");
    assert_eq!(margin.design_effect, 1.0);
    let even = std::array::from_fn(|group| group as u64 % 3);
    assert_eq!(occurrence_margin(&even, &[40; GROUPS]), Margin::of(1.0));
}

/// By hand: 100 of 3200 games in the position, all in group 0: m = (10000 - 10000/32)/(100 x
/// 31/32) = 100.
#[test]
fn who_comes_to_a_position_comes_again() {
    let games = by_group(&[100]);
    let mut all = [100; GROUPS];
    assert!(occurrence_margin(&games, &all).design_effect >= 1.0 + 0.7 * 99.0);
    // Were these players all that there are, nothing would be seen of the spread.
    all = games;
    assert_eq!(occurrence_effect(&games, &all), 1.0);
    assert!((occurrence_margin(&games, &all).design_effect - (1.0 + 0.7 * 99.0)).abs() < 1e-9);
}

/// By hand: one game in group 0 of 100 games each, f = 1/3200: residuals 31/32 and 31 times -1/32,
/// whose squares add up to 31/32, times 32/31 is 1, against 1 - f. Games that lie evenly show no
/// spread at all.
#[test]
fn an_occurrence_is_at_least_binomial() {
    let one = occurrence_effect(&by_group(&[1]), &[100; GROUPS]);
    assert!((one - 1.0 / (1.0 - 1.0 / 3200.0)).abs() < 1e-12, "{one}");
    assert_eq!(occurrence_effect(&[3; GROUPS], &[100; GROUPS]), 1.0);
    assert_eq!(occurrence_margin(&[3; GROUPS], &[100; GROUPS]), Margin::of(1.0));
}

/// SciPy 1.17.1: twice `kurtosis(residuals, bias=False)` is 0.21490, so f = 1 / (1/31 +
/// 0.21490/64), and `t.ppf(0.975, f)` is 2.04815.
#[test]
fn a_tail_a_little_long_costs_a_little_certainty() {
    let games = std::array::from_fn(|group| match group {
        31 => 3,
        0..21 => 2,
        _ => 1 + 2 * (group as u64 % 2),
    });
    let margin = occurrence_margin(&games, &[40; GROUPS]);
    assert!((margin.quantile - 2.0481529679624537).abs() < 1e-9, "{margin:?}");
}

#[test]
fn residuals_of_fewer_games_than_one_a_player_have_no_effect() {
    assert_eq!(design_effect_of_residuals(0.5, 0.2), 1.0);
    assert!((design_effect_of_residuals(1.5, 0.2) - 1.1).abs() < 1e-15);
}

proptest! {
    #[test]
    fn the_order_of_groups_and_moves_does_not_matter(
        raw in prop::collection::vec(prop::collection::vec(0..40u64, GROUPS), 1..5), turn in 0..GROUPS
    ) {
        let moves: Vec<ByGroup> = raw.iter().map(|games| by_group(games)).collect();
        let mut turned = moves.clone();
        turned.iter_mut().for_each(|games| games.rotate_left(turn));
        turned.reverse();
        let (a, b) = (DesignEffect::of(&moves), DesignEffect::of(&turned));
        prop_assert!((a.share - b.share).abs() < 1e-9 && (a.games_a_player - b.games_a_player).abs() < 1e-9);
        prop_assert!(a.share >= 1.0 && a.games_a_player >= 1.0);
    }
}
