//! Leagues whose players come again and repeat themselves: do effective numbers hold the truth?
//!
//! A player has a long-tailed number of games in a position and preferences of their own there, so that two of their choices agree with
//! correlation 0.7 beyond chance; two of their scores hang together by 0.02. Truth is the share that all such players have on average. Players are put
//! into groups by chance, as a hash does; what the intervals know is the games by group.

use deadfall::answers::stats::{
    BandChoice, BandLine, ByGroup, Comparison, DesignEffect, Factor, GROUPS, GroupedShare,
    Interval, Margin, Moments, SCORE_CORRELATION, T_95, TIME_CORRELATION, compare_counts_at,
    difference_by_group, mean_time_at, occurrence_effect, predictive_range, product,
    product_interval_at, tango_at, wilson_at,
};

use super::sampling::Chance;
use super::tally::Tallies;

/// The design effects that the positions are drawn for.
pub const EFFECTS: [f64; 4] = [1.0, 1.7, 3.0, 9.0];

/// Of a player's choices in one position.
pub const CORRELATION: f64 = 0.7;

/// The smallest effective sample that a value is given for.
const MIN_SAMPLE: f64 = 50.0;

/// Games of a player: the number x has a weight of x^-2.2 up to a limit.
struct Activity(Vec<f64>);

impl Activity {
    /// With so many games of the player of an average game, or a little more.
    fn of(games_a_player: f64) -> Activity {
        let (mut sums, mut all, mut games, mut squares) = (Vec::new(), 0.0, 0.0, 0.0);
        for x in 1.. {
            let (x, weight) = (f64::from(x), f64::from(x).powf(-2.2));
            (all, games, squares) = (all + weight, games + weight * x, squares + weight * x * x);
            sums.push(all);
            if squares >= games_a_player * games {
                break;
            }
        }
        Activity(sums.into_iter().map(|sum| sum / all).collect())
    }

    fn draw(&self, chance: &mut Chance) -> u64 {
        let at = chance.unit();
        1 + self.0.partition_point(|&sum| sum < at) as u64
    }
}

/// A player in one position.
struct Player {
    group: usize,
    games: u64,
    /// Choices made so far, by move.
    made: Vec<u64>,
}

impl Player {
    /// One choice more by Polya's urn: the more often a move was chosen before, the likelier it is again; any two choices have the
    /// correlation, and each of them the shares (D. Blackwell and J. B. MacQueen 1973, Annals of Statistics 1:353-355).
    fn choose(&mut self, chance: &mut Chance, shares: &[f64], correlation: f64) -> usize {
        self.made.resize(shares.len(), 0);
        let made: u64 = self.made.iter().sum();
        let fresh = 1.0 / correlation - 1.0;
        let mut at = chance.unit() * (fresh + made as f64);
        let weights =
            shares.iter().zip(&self.made).map(|(share, &made)| share * fresh + made as f64);
        let mut chosen = shares.len() - 1;
        for (mv, weight) in weights.enumerate() {
            if at < weight {
                chosen = mv;
                break;
            }
            at -= weight;
        }
        self.made[chosen] += 1;
        chosen
    }
}

/// The players of a position who play `games` games in it together.
fn crowd(chance: &mut Chance, activity: &Activity, games: u64) -> Vec<Player> {
    let (mut players, mut sum) = (Vec::new(), 0);
    while sum < games {
        let player = Player {
            group: chance.whole(0, GROUPS - 1),
            games: activity.draw(chance).min(games - sum),
            made: Vec::new(),
        };
        sum += player.games;
        players.push(player);
    }
    players
}

/// All choose in all their games: games by group of each move.
fn play(
    chance: &mut Chance,
    players: &mut [Player],
    shares: &[f64],
    correlation: f64,
) -> Vec<ByGroup> {
    let mut moves = vec![[0; GROUPS]; shares.len()];
    for player in players {
        for _ in 0..player.games {
            let chosen = player.choose(chance, shares, correlation);
            moves[chosen][player.group] += 1;
        }
    }
    moves
}

/// Two to four moves; the first has a share of 0.03 to 0.97.
fn shares(chance: &mut Chance) -> Vec<f64> {
    let first = chance.between(0.03, 0.97);
    let others: Vec<f64> = (0..chance.whole(1, 3)).map(|_| chance.between(0.1, 1.0)).collect();
    let all: f64 = others.iter().sum();
    [first].into_iter().chain(others.into_iter().map(|other| (1.0 - first) * other / all)).collect()
}

fn sum(games: &ByGroup) -> u64 {
    games.iter().sum()
}

fn together(moves: &[ByGroup]) -> ByGroup {
    std::array::from_fn(|group| moves.iter().map(|mv| mv[group]).sum())
}

/// Every figure that rests on one share, or on several, in so many leagues of a block.
pub fn tallies(effect: f64, block: u64, leagues: u32) -> Tallies {
    let mut tallies = Tallies::default();
    let mut chance = Chance::seeded(20_310_700 + 100 * block + (10.0 * effect) as u64);
    let activity = Activity::of(1.0 + (effect - 1.0) / CORRELATION);
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
    (0..leagues / 4).for_each(|_| bands(&mut chance, &activity, effect, &mut tallies));
    tallies
}

/// A share, and its change to the next month, in which the same players come again, half of them, or none.
fn one_position(chance: &mut Chance, activity: &Activity, games: u64, tallies: &mut Tallies) {
    let shares = shares(chance);
    let mut players = crowd(chance, activity, games);
    let moves = play(chance, &mut players, &shares, CORRELATION);
    let effect = DesignEffect::of(&moves);
    if effect.effective_games() < MIN_SAMPLE {
        return;
    }
    let interval = wilson_at(sum(&moves[0]), games, Margin::of(effect.share).z()).expect("games");
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
        difference_by_group(&month(&later, second), &month(&moves, effect)).expect("games");
    tallies.add("change of a share", interval, 0.0);
}

/// Two moves that are played equally often: how often their order is left open.
fn equal_moves(chance: &mut Chance, activity: &Activity, games: u64, tallies: &mut Tallies) {
    let each = chance.between(0.1, 0.5);
    let mut players = crowd(chance, activity, games);
    let moves = play(chance, &mut players, &[each, each, 1.0 - 2.0 * each], CORRELATION);
    let effect = DesignEffect::of(&moves);
    if effect.effective_games() >= MIN_SAMPLE {
        let compared = compare_counts_at(sum(&moves[0]), sum(&moves[1]), Margin::of(effect.share));
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
    let better = (SCORE_CORRELATION * variance).sqrt();
    let mut results = [0; 3];
    let mut moves = [[0; GROUPS]];
    for player in crowd(chance, activity, games) {
        let score = if chance.unit() < 0.5 { mean + better } else { mean - better };
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
        tallies.add("score", tango_at(wins, draws, losses, margin.z()).expect("games"), mean);
    }
}

/// Seconds on a move at one to three paces; some players are slow, and others quick.
fn times(chance: &mut Chance, activity: &Activity, games: u64, tallies: &mut Tallies) {
    // With log-normal times of variance 1: d^2 / (d^2 + 1 + d^2) = 0.2.
    let slow = (TIME_CORRELATION / (1.0 - 2.0 * TIME_CORRELATION)).sqrt();
    let mut paces = vec![Moments::default(); chance.whole(1, 3)];
    let (mut moves, mut truth) = ([[0; GROUPS]], 0.0);
    for player in crowd(chance, activity, games) {
        let pace = chance.whole(0, paces.len() - 1);
        let mean = [15.0, 70.0, 300.0][pace];
        let own = mean * if chance.unit() < 0.5 { 1.0 + slow } else { 1.0 - slow };
        moves[0][player.group] += player.games;
        truth += mean * player.games as f64 / games as f64;
        for _ in 0..player.games {
            let tenths = (own * chance.long_tailed()).round() as u64;
            paces[pace] = paces[pace].plus(Moments { n: 1, sum: tenths, sum_sq: tenths * tenths });
        }
    }
    let margin = Margin::of(DesignEffect::of(&moves).of_residuals(TIME_CORRELATION));
    if games as f64 / margin.design_effect >= MIN_SAMPLE
        && let Some((_, interval)) = mean_time_at(&paces, margin)
    {
        tallies.add("seconds", interval, truth);
    }
}

/// A product of two or three shares, the same players at each choice, and what comes of it in 50 games.
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
    let interval = product_interval_at(&factors, T_95).including(product(&factors));
    tallies.add("product of shares", interval, truth);
    let (low, high) = predictive_range(interval, 50);
    let number = chance.binomial(50, truth);
    tallies.add("number in 50 games", Interval::new(low as f64, high as f64), number as f64);
}

/// An occurrence: players come to the position in 0.2 to 30 % of all their games, some more often than others.
fn all_games(chance: &mut Chance, activity: &Activity, games: u64, tallies: &mut Tallies) {
    let share = chance.spread(0.002, 0.3);
    let correlation = chance.between(0.05, CORRELATION);
    let mut players = crowd(chance, activity, 20 * games);
    let moves = play(chance, &mut players, &[share, 1.0 - share], correlation);
    let all = together(&moves);
    let effect = occurrence_effect(&moves[0], &all);
    let interval = wilson_at(sum(&moves[0]), sum(&all), Margin::of(effect).z()).expect("games");
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
