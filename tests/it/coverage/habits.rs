//! Leagues whose players come again and repeat themselves: do effective numbers hold the truth?
//!
//! The formulas one by one, on positions with players of their own ([`super::players`]); truth
//! is the share that all such players have on average, and what the intervals know is the
//! games by group.

use deadfall::answers::stats::{
    BandChoice, BandLine, ByGroup, Comparison, DesignEffect, Factor, GROUPS, GroupedShare,
    Interval, Margin, Moments, SCORE_CORRELATION, T_95, TIME_CORRELATION, change_a_month,
    compare_counts, mean_time, occurrence_margin, predictive_range, product, product_interval,
    tango, wilson,
};

use super::choices::{MIN_SAMPLE, dated, play, sum, together};
use super::further;
use super::players::{Activity, CORRELATION, crowd, games_a_player};
use super::sampling::Chance;
use super::tally::Tallies;

/// Two to four moves; the first has a share of 0.03 to 0.97.
fn shares(chance: &mut Chance) -> Vec<f64> {
    let first = chance.between(0.03, 0.97);
    let others: Vec<f64> = (0..chance.whole(1, 3)).map(|_| chance.between(0.1, 1.0)).collect();
    let all: f64 = others.iter().sum();
    [first].into_iter().chain(others.into_iter().map(|other| (1.0 - first) * other / all)).collect()
}

/// Every figure that rests on one share, or on several, in so many leagues of a block.
pub fn tallies(effect: f64, block: u64, leagues: u32) -> Tallies {
    let mut tallies = Tallies::default();
    let mut chance = Chance::seeded(20_310_700 + 100 * block + (10.0 * effect) as u64);
    let activity = Activity::of(games_a_player(effect));
    for _ in 0..leagues {
        let games = chance.games(60.0 * effect, 1500.0 * effect);
        one_position(&mut chance, &activity, games, &mut tallies);
        equal_moves(&mut chance, &activity, games, &mut tallies);
        scores(&mut chance, &activity, games, &mut tallies);
        times(&mut chance, &activity, games, &mut tallies);
        line(&mut chance, &activity, games, &mut tallies);
        all_games(&mut chance, &activity, games, &mut tallies);
    }
    // Bands need more games than a position.
    for _ in 0..leagues / 4 {
        bands(&mut chance, &activity, effect, &mut tallies);
        further::place_where_a_curve_falls(&mut chance, &activity, effect, &mut tallies);
        further::any_order(&mut chance, &activity, effect, &mut tallies);
    }
    tallies
}

/// A share, and its change to the next month, in which the same players come again, half of
/// them, or none.
fn one_position(chance: &mut Chance, activity: &Activity, games: u64, tallies: &mut Tallies) {
    let shares = shares(chance);
    let mut players = crowd(chance, activity, games);
    let moves = play(chance, &mut players, &shares, CORRELATION);
    let effect = DesignEffect::of(&moves);
    if effect.effective_games() < MIN_SAMPLE {
        return;
    }
    let interval = wilson(sum(&moves[0]), games, Margin::of(effect.share).z()).expect("games");
    tallies.add("share", interval, shares[0]);
    let stay = 0.5 * chance.whole(0, 2) as f64;
    players.retain(|_| chance.unit() < stay);
    players.iter_mut().for_each(|player| player.games = activity.draw(chance));
    let newcomers = crowd(chance, activity, games);
    players.extend(newcomers);
    let later = play(chance, &mut players, &shares, CORRELATION);
    let second = DesignEffect::of(&later);
    let month = |moves: &[ByGroup], effect: DesignEffect| GroupedShare {
        k: moves[0],
        n: together(moves),
        design_effect: effect.share,
    };
    let (_, interval) =
        change_a_month(&[dated(0.0, &month(&moves, effect)), dated(1.0, &month(&later, second))])
            .expect("two months");
    tallies.add("change of a share", interval, 0.0);
}

/// Two moves that are played equally often: how often their order is left open.
fn equal_moves(chance: &mut Chance, activity: &Activity, games: u64, tallies: &mut Tallies) {
    let each = chance.between(0.1, 0.5);
    let mut players = crowd(chance, activity, games);
    let moves = play(chance, &mut players, &[each, each, 1.0 - 2.0 * each], CORRELATION);
    let effect = DesignEffect::of(&moves);
    if effect.effective_games() >= MIN_SAMPLE {
        let compared = compare_counts(sum(&moves[0]), sum(&moves[1]), Margin::of(effect.share));
        let sign = match compared {
            Comparison::Greater => 1.0,
            Comparison::Less => -1.0,
            Comparison::Unclear => 0.0,
        };
        tallies.add("order of equal moves", Interval::point(sign), 0.0);
    }
}

/// A mean score of players some of whom are better than their rating, and others worse.
fn scores(chance: &mut Chance, activity: &Activity, games: u64, tallies: &mut Tallies) {
    let (mean, draw) = (chance.between(0.25, 0.75), chance.between(0.02, 0.2));
    let variance = mean - draw / 4.0 - mean * mean;
    let mut results = [0; 3];
    let mut moves = [[0; GROUPS]];
    for player in crowd(chance, activity, games) {
        let score = mean + player.better(variance);
        moves[0][player.group] += player.games;
        for _ in 0..player.games {
            let at = chance.unit();
            let win = score - draw / 2.0;
            results[usize::from(at >= win) + usize::from(at >= win + draw)] += 1;
        }
    }
    let margin = Margin::of(DesignEffect::of(&moves).of_residuals(SCORE_CORRELATION));
    let [wins, draws, losses] = results;
    if games as f64 / margin.design_effect >= MIN_SAMPLE {
        tallies.add("score", tango(wins, draws, losses, margin.z()).expect("games"), mean);
    }
}

/// Seconds on a move at one to three paces; some players are slow, and others quick.
fn times(chance: &mut Chance, activity: &Activity, games: u64, tallies: &mut Tallies) {
    let mut paces = vec![Moments::default(); chance.whole(1, 3)];
    let (mut moves, mut truth) = ([[0; GROUPS]], 0.0);
    for player in crowd(chance, activity, games) {
        let pace = chance.whole(0, paces.len() - 1);
        let mean = [15.0, 70.0, 300.0][pace];
        let own = mean * player.slowness();
        moves[0][player.group] += player.games;
        truth += mean * player.games as f64 / games as f64;
        for _ in 0..player.games {
            let tenths = (own * chance.long_tailed()).round() as u64;
            paces[pace] = paces[pace].plus(Moments { n: 1, sum: tenths, sum_sq: tenths * tenths });
        }
    }
    let margin = Margin::of(DesignEffect::of(&moves).of_residuals(TIME_CORRELATION));
    if games as f64 / margin.design_effect >= MIN_SAMPLE
        && let Some((_, interval)) = mean_time(&paces, margin)
    {
        tallies.add("seconds", interval, truth);
    }
}

/// A product of two or three shares, the same players at each choice, and what comes of it
/// in 50 games.
fn line(chance: &mut Chance, activity: &Activity, games: u64, tallies: &mut Tallies) {
    let (mut games, mut truth, mut factors, mut least) = (3 * games, 1.0, Vec::new(), f64::MAX);
    for _ in 0..chance.whole(2, 3) {
        let share = chance.spread(0.1, 0.95);
        let mut players = crowd(chance, activity, games);
        let moves = play(chance, &mut players, &[share, 1.0 - share], CORRELATION);
        let (k, effect) = (sum(&moves[0]), DesignEffect::of(&moves));
        truth *= share;
        least = least.min(effect.effective_games());
        factors.push(Factor::new(k, games).with_effect(effect.share));
        games = k.max(1);
    }
    if least < MIN_SAMPLE {
        return;
    }
    let interval = product_interval(&factors, T_95).including(product(&factors));
    tallies.add("product of shares", interval, truth);
    let (low, high) = predictive_range(interval, 50);
    let number = chance.binomial(50, truth);
    tallies.add("number in 50 games", Interval::new(low as f64, high as f64), number as f64);
}

/// An occurrence: players come to the position in 0.2 to 30 % of all their games, some more often
/// than others.
fn all_games(chance: &mut Chance, activity: &Activity, games: u64, tallies: &mut Tallies) {
    let share = chance.spread(0.002, 0.3);
    let correlation = chance.between(0.05, CORRELATION);
    let mut players = crowd(chance, activity, 20 * games);
    let moves = play(chance, &mut players, &[share, 1.0 - share], correlation);
    let all = together(&moves);
    let margin = occurrence_margin(&moves[0], &all);
    let interval = wilson(sum(&moves[0]), sum(&all), margin.z()).expect("games");
    tallies.add("occurrence", interval, share);
}

/// Steered over bands of few and many games, with a trend over the ratings at every choice.
fn bands(chance: &mut Chance, activity: &Activity, effect: f64, tallies: &mut Tallies) {
    let count = chance.whole(4, 20);
    let middle = chance.between(0.3, 0.7) * count as f64;
    let width = chance.between(0.12, 0.3) * count as f64;
    let most = chance.spread(200.0, 4000.0) * effect;
    let choices: Vec<(f64, f64)> = (0..chance.whole(1, 3))
        .map(|_| (chance.spread(0.15, 0.8), chance.spread(0.4, 2.5)))
        .collect();
    let mut line = BandLine { weights: Vec::new(), choices: Vec::new() };
    let mut moves = vec![[[0; GROUPS]; 2]; choices.len()];
    let mut counts = vec![Vec::new(); choices.len()];
    let (mut truth, mut all) = (0.0, 0.0);
    for band in 0..count {
        let off = (band as f64 + 0.5 - middle) / width;
        let mut games = (most * (-0.5 * off * off).exp()) as u64;
        line.weights.push(games);
        let mut product = 1.0;
        for (choice, &(share, trend)) in choices.iter().enumerate() {
            let along = (band as f64 + 0.5) / count as f64 - 0.5;
            let share = (share * trend.powf(along)).min(0.97);
            product *= share;
            let mut players = crowd(chance, activity, games);
            let here = play(chance, &mut players, &[share, 1.0 - share], CORRELATION);
            for (sum, part) in moves[choice].iter_mut().zip(&here) {
                *sum = together(&[*sum, *part]);
            }
            counts[choice].push((sum(&here[0]), games));
            games = sum(&here[0]);
        }
        let weight = line.weights[band] as f64;
        truth += weight * product;
        all += weight;
    }
    let effects: Vec<DesignEffect> = moves.iter().map(|moves| DesignEffect::of(moves)).collect();
    if all == 0.0 || effects.iter().any(|effect| effect.effective_games() < MIN_SAMPLE) {
        return;
    }
    for (bands, effect) in counts.into_iter().zip(effects) {
        line.choices.push(BandChoice { bands, design_effect: effect.share });
    }
    let (_, interval) = line.average(&[], T_95).expect("weights");
    let figure = if line.mixed() { "steered, thin bands pooled" } else { "steered, full bands" };
    tallies.add(figure, interval, truth / all);
}
