//! Players come again: variances from random groups of players, and design effects made of them.
//!
//! Every player belongs to one of [`GROUPS`] groups by a hash of the name. The groups are
//! independent samples of players, so the spread of a count over the groups shows its true
//! variance, however the games of a player hang together: the random group method (K. Wolter 2007,
//! Introduction to Variance Estimation, 2nd edition, chapter 2; from memory). With n games, n_g of
//! them in group g, k_mg of move m and p_m = k_m / n the variances of all shares add up to
//!
//! V = G/(G-1) sum_m sum_g (k_mg - p_m n_g)^2 / n^2,
//!
//! where games of different players would give B = sum_m p_m (1 - p_m) / n; V / B is the
//! generalised design effect of J. Rao and A. Scott 1981, Journal of the American Statistical
//! Association 76:221-230: by so much the counts are divided.
//!
//! Sums of squares tell a second thing: the expectation of sum_g n_g^2 over the hashes is S +
//! (n^2 - S)/G with S the sum over the players of their squared games, so m = S / n, the games
//! that the player of an average game has here, is known without knowing a player. It bounds V
//! / B from below where one move has nearly all games and the few others happen to lie evenly
//! over the groups.
//!
//! A player's choices in one position correlate by 0.7; scores by 0.02 at the most and seconds by
//! 0.2, for which the games a player are enough (and the answers, for scores: `answers`). Tests of
//! a hunt allow for 0.05, since the most extreme of many are shown
//! (`scripts/reference/correlations.py`). Of all games of a colour few players have many, so the
//! variance of an occurrence is known less well than from 31 degrees of freedom; how much less the
//! kurtosis of the groups says. In the invented league choices correlated by 0.62 (18,928 games),
//! and design effects by group were 1.01 times those by name (median of 311 positions).

use super::margin::Margin;
use super::student::GROUPS;

/// Games by group of the player who moved.
pub type ByGroup = [u64; GROUPS];

/// The least correlation of a player's choices that a design effect allows for; measured on real
/// games: 0.7 in one position.
///
/// In seeded samples with correlation 0.7 the intervals held the truth in 58 to 90 % without this
/// bound where one move had 90 % of the games or more, and in 93 to 97 % with it.
const LEAST_CORRELATION: f64 = 0.35;

/// The correlation of a player's choices in one position, for positions in which all games chose
/// one move and no spread is seen.
const CHOICE_CORRELATION: f64 = 0.7;

/// The correlation of the residuals of a player's scores in one position; measured on real games:
/// 0.00 to 0.02.
pub const SCORE_CORRELATION: f64 = 0.02;

/// The same for tests of which many are made and the most extreme are shown: an upper bound of what
/// was measured.
///
/// In seeded hunts among players with 12 games a position and a true correlation of 0.05, all drops
/// at the limit of the null hypothesis, a promise of 5 % false findings was broken in 16 % without
/// a design effect, in 8 % with the 0.02 of scores, and kept with 3 %. The habits of those who
/// answer a move are no part of it (`answers`): without them 10 to 22 % were false where each
/// answered 12 games and two answers lay 0.4 points apart, with them 2 to 4 %.
pub const FINDING_CORRELATION: f64 = 0.05;

/// The correlation of a player's times in one position, in parts of the ordinary time.
///
/// Two times of one side of one game correlate by 0.15 over the first 30 half-moves and by 0.21
/// over the first 12, each in parts of the mean of its time control and half-move (438 games of a
/// real dump, in which no player comes twice; scripts/reference/correlations.py). A player's own
/// speed explains no more than that. Evaluations need no number: after a move they say nothing
/// about who made it.
pub const TIME_CORRELATION: f64 = 0.2;

/// The games of a position under a filter: how many, by how many players, and what that does
/// to its shares.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DesignEffect {
    /// Games, n.
    pub games: u64,
    /// m, at least 1: games here of the player of an average game.
    pub games_a_player: f64,
    /// D of shares, at least 1.
    pub share: f64,
}

impl DesignEffect {
    /// Of the games of all moves of a position, one entry a move.
    ///
    /// D = max(1, V / B, 1 + 0.35 (m - 1)), and 1 + 0.7 (m - 1) where all games chose one move; 1
    /// without games.
    pub fn of(moves: &[ByGroup]) -> DesignEffect {
        let all = sum(moves);
        let games: u64 = all.iter().sum();
        let games_a_player = games_a_player(&all);
        let n = games as f64;
        let (mut spread, mut binomial) = (0.0, 0.0);
        for mv in moves {
            let share = mv.iter().sum::<u64>() as f64 / n.max(1.0);
            spread += squared_residuals(mv, &all, share);
            binomial += share * (1.0 - share) * n;
        }
        let repeats = games_a_player - 1.0;
        let one_move = moves.iter().filter(|mv| mv.iter().any(|&games| games > 0)).count() < 2;
        let share = if one_move {
            1.0 + CHOICE_CORRELATION * repeats
        } else {
            (spread / binomial).max(1.0 + LEAST_CORRELATION * repeats)
        };
        DesignEffect { games, games_a_player, share }
    }

    /// n / D: games of different players that tell as much about shares.
    pub fn effective_games(self) -> f64 {
        self.games as f64 / self.share
    }

    /// D of what is left of a quantity when position, move and ratings are taken off, at least 1:
    /// 1 + correlation (m - 1), where `correlation` (0 to 1) is that of one player's games.
    pub fn of_residuals(self, correlation: f64) -> f64 {
        design_effect_of_residuals(self.games_a_player, correlation)
    }
}

/// 1 + correlation (m - 1) for m games a player of which any two correlate so, at least 1.
pub fn design_effect_of_residuals(games_a_player: f64, correlation: f64) -> f64 {
    1.0 + correlation * (games_a_player - 1.0).max(0.0)
}

/// Games of all moves together.
fn sum(moves: &[ByGroup]) -> ByGroup {
    moves.iter().fold([0; GROUPS], |all, mv| std::array::from_fn(|group| all[group] + mv[group]))
}

/// m = max(1, (sum_g n_g^2 - n^2/G) / (n (1 - 1/G))): games of the player of an average game; 1
/// without games.
pub fn games_a_player(games: &ByGroup) -> f64 {
    let n = games.iter().sum::<u64>() as f64;
    let even = n / GROUPS as f64;
    // sum_g n_g^2 - n^2/G, as squared deviations: no difference of large numbers.
    let uneven: f64 = games.iter().map(|&games| (games as f64 - even).powi(2)).sum();
    if n == 0.0 { 1.0 } else { (uneven / (n * (1.0 - 1.0 / GROUPS as f64))).max(1.0) }
}

/// The variance of k - p n over the groups, k and n being sums: G/(G-1) sum_g (k_g - p n_g)^2.
fn squared_residuals(k: &ByGroup, n: &ByGroup, p: f64) -> f64 {
    let squares = residuals(k, n, p).map(|residual| residual * residual);
    GROUPS as f64 / (GROUPS - 1) as f64 * squares.iter().sum::<f64>()
}

fn residuals(k: &ByGroup, n: &ByGroup, p: f64) -> [f64; GROUPS] {
    std::array::from_fn(|group| k[group] as f64 - p * n[group] as f64)
}

/// D of the share f of `games` among all games `all` of a colour, both by group, at least 1.
///
/// V = G/(G-1) sum_g (n_g - f N_g)^2 / N^2 against f (1 - f) / N, f = n / N.
pub fn occurrence_effect(games: &ByGroup, all: &ByGroup) -> f64 {
    let share = share_of(games, all);
    let binomial = games.iter().sum::<u64>() as f64 * (1.0 - share);
    if binomial > 0.0 { (squared_residuals(games, all, share) / binomial).max(1.0) } else { 1.0 }
}

fn share_of(games: &ByGroup, all: &ByGroup) -> f64 {
    games.iter().sum::<u64>() as f64 / all.iter().sum::<u64>().max(1) as f64
}

/// How intervals of that share are drawn.
///
/// D is [`occurrence_effect`] and no less than 1 + 0.7 (m - 1): who comes to the position comes
/// again, so the games a player there bound it from below, as where all games chose one move.
///
/// Of all games of a colour few players have many, and of these few are at home in one position. So
/// the residuals have long tails, and V is known less well than from 31 degrees of freedom: the
/// variance of a variance of G values is V^2 (2/(G-1) + k/G) with k their excess kurtosis, that of
/// f degrees 2/f V^2 (F. Satterthwaite 1946, Biometrics Bulletin 2:110-114, from memory), so f = 1
/// / (1/(G-1) + k/(2G)). The kurtosis of 32 values is on average less than half that of a long tail
/// they were drawn from; k is twice theirs, and nothing where it is negative.
///
/// Tried in the leagues of tests/it/coverage, percent that hold the truth at design effects of 1,
/// 1.7, 3 and 9 (of one band): 31 degrees and no bound 96.9, 93.3, 92.0, 90.7; with the kurtosis as
/// it is 97.0, 93.7, 92.4, 91.9; twice it 97.0, 93.7, 92.9, 92.2; 12 degrees always 97.8, 94.6,
/// 94.0, 93.1; the bound and the kurtosis as it is 97.1, 94.0, 92.8, 92.7; the bound and twice the
/// kurtosis, as here, 97.1, 94.1, 93.6, 93.2.
pub fn occurrence_margin(games: &ByGroup, all: &ByGroup) -> Margin {
    let repeats = games_a_player(games) - 1.0;
    let effect = occurrence_effect(games, all).max(1.0 + CHOICE_CORRELATION * repeats);
    let margin = Margin::of(effect);
    let kurtosis = 2.0 * excess_kurtosis(&residuals(games, all, share_of(games, all)));
    if kurtosis > 0.0 {
        let g = GROUPS as f64;
        margin.with_freedom(1.0 / (1.0 / (g - 1.0) + kurtosis / (2.0 * g)))
    } else {
        margin
    }
}

/// The sample excess kurtosis G2 of values with mean 0 (D. Joanes and C. Gill 1998, The
/// Statistician 47:183-189); 0 without spread.
fn excess_kurtosis(values: &[f64; GROUPS]) -> f64 {
    let n = GROUPS as f64;
    let moment = |power: i32| values.iter().map(|value| value.powi(power)).sum::<f64>() / n;
    let plain = moment(4) / moment(2).powi(2) - 3.0;
    let unbiased = (n - 1.0) / ((n - 2.0) * (n - 3.0)) * ((n + 1.0) * plain + 6.0);
    if unbiased.is_nan() { 0.0 } else { unbiased }
}

/// A share by group with its design effect.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GroupedShare {
    /// Games that have the property.
    pub k: ByGroup,
    /// Games that could have it.
    pub n: ByGroup,
    /// D of the share, at least 1.
    pub design_effect: f64,
}

#[cfg(test)]
#[path = "groups_tests.rs"]
mod tests;
