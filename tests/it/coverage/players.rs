//! Players who come again and repeat themselves.
//!
//! A player has a long-tailed number of games and preferences of their own in each position, so
//! that two of their choices there agree with correlation 0.7 beyond chance. Players are put into
//! groups by chance, as a hash does.

use deadfall::answers::stats::{GROUPS, TIME_CORRELATION};

use super::sampling::Chance;

/// The design effects of shares that leagues are drawn for.
pub const EFFECTS: [f64; 4] = [1.0, 1.7, 3.0, 9.0];

/// Of a player's choices in one position.
pub const CORRELATION: f64 = 0.7;

/// Of the residuals of a player's scores in one position.
const SCORES: f64 = 0.02;

/// Games of the player of an average game in a position whose shares have this design effect.
pub fn games_a_player(effect: f64) -> f64 {
    1.0 + (effect - 1.0) / CORRELATION
}

/// The reverse of it.
pub fn design_effect(games_a_player: f64) -> f64 {
    1.0 + CORRELATION * (games_a_player - 1.0)
}

/// Games of a player: the number x has a weight of x^-2.2 up to a limit.
pub struct Activity(Vec<f64>);

impl Activity {
    /// With so many games of the player of an average game, or a little more.
    pub fn of(games_a_player: f64) -> Activity {
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

    pub fn draw(&self, chance: &mut Chance) -> u64 {
        let at = chance.unit();
        1 + self.0.partition_point(|&sum| sum < at) as u64
    }
}

/// A player in one position.
pub struct Player {
    pub group: usize,
    pub games: u64,
    /// 1 or -1: one half is better than their rating says and slow, the other worse and quick.
    kind: f64,
    urn: Urn,
}

impl Player {
    /// How much better in points than the rating says, where the results have this variance.
    pub fn better(&self, variance: f64) -> f64 {
        self.kind * (SCORES * variance).sqrt()
    }

    /// The player's own mean time in parts of the ordinary one, where times are log-normal with a
    /// coefficient of variation of 1: d^2 / (d^2 + 1 + d^2) is the correlation.
    pub fn slowness(&self) -> f64 {
        1.0 + self.kind * (TIME_CORRELATION / (1.0 - 2.0 * TIME_CORRELATION)).sqrt()
    }

    pub fn choose(&mut self, chance: &mut Chance, shares: &[f64], correlation: f64) -> usize {
        self.urn.choose(chance, shares, correlation)
    }
}

/// The most moves that players choose from.
const MOST_MOVES: usize = 5;

/// The choices that a player made in a position so far, by move.
#[derive(Clone, Copy, Default)]
pub struct Urn {
    all: f64,
    made: [f64; MOST_MOVES],
}

impl Urn {
    /// One choice more by Polya's urn: the more often a move was chosen before, the likelier it is
    /// again; any two choices have the correlation, and each of them the shares (D. Blackwell and
    /// J. B. MacQueen 1973, Annals of Statistics 1:353-355).
    pub fn choose(&mut self, chance: &mut Chance, shares: &[f64], correlation: f64) -> usize {
        let fresh = 1.0 / correlation - 1.0;
        let mut at = chance.unit() * (fresh + self.all);
        let mut chosen = shares.len() - 1;
        for (mv, (share, made)) in shares.iter().zip(&self.made).enumerate() {
            let weight = share * fresh + made;
            if at < weight {
                chosen = mv;
                break;
            }
            at -= weight;
        }
        self.all += 1.0;
        self.made[chosen] += 1.0;
        chosen
    }
}

/// The players of a position who play `games` games in it together.
pub fn crowd(chance: &mut Chance, activity: &Activity, games: u64) -> Vec<Player> {
    let (mut players, mut sum) = (Vec::new(), 0);
    while sum < games {
        let player = Player {
            group: chance.whole(0, GROUPS - 1),
            games: activity.draw(chance).min(games - sum),
            kind: if chance.unit() < 0.5 { 1.0 } else { -1.0 },
            urn: Urn::default(),
        };
        sum += player.games;
        players.push(player);
    }
    players
}

/// The players of games that are dealt out by chance, by their places in the crowd.
pub fn dealt(chance: &mut Chance, players: &[Player]) -> Vec<usize> {
    let of = |(place, player): (usize, &Player)| {
        std::iter::repeat_n(place, usize::try_from(player.games).expect("a number of games"))
    };
    let mut places: Vec<usize> = players.iter().enumerate().flat_map(of).collect();
    for last in (1..places.len()).rev() {
        places.swap(last, chance.whole(0, last));
    }
    places
}
