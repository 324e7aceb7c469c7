//! What players choose in one position, by group.

use deadfall::answers::stats::{ByGroup, Dated, GROUPS, GroupErrors, GroupedShare, Margin, wilson};

use super::players::Player;
use super::sampling::Chance;

/// The smallest effective sample that a value is given for.
pub const MIN_SAMPLE: f64 = 50.0;

/// All choose in all their games: games by group of each move.
pub fn play(
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

pub fn sum(games: &ByGroup) -> u64 {
    games.iter().sum()
}

pub fn together(moves: &[ByGroup]) -> ByGroup {
    std::array::from_fn(|group| moves.iter().map(|mv| mv[group]).sum())
}

/// A share in a month, as `trap` gives it.
pub fn dated(at: f64, share: &GroupedShare) -> Dated {
    let (k, n) = (sum(&share.k), sum(&share.n));
    let interval = wilson(k, n, Margin::of(share.design_effect).z()).expect("games");
    let errors = GroupErrors::of_product(std::slice::from_ref(share));
    Dated { at, value: k as f64 / n as f64, interval, errors }
}
