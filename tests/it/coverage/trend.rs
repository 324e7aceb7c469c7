//! Does the change a month hold the truth, where the players of one month are in part those
//! of the next?

use deadfall::answers::stats::Factor;
use deadfall::answers::stats::{
    Dated, DesignEffect, GROUPS, GroupErrors, GroupedShare, T_95, change_a_month, product_interval,
};

use super::choices::{MIN_SAMPLE, dated, play, sum, together};
use super::players::{Activity, CORRELATION, EFFECTS, Player, crowd, games_a_player};
use super::sampling::Chance;
use super::tally::Tally;

/// One choice in a month; its players and newcomers come again in the next.
struct Choice {
    players: Vec<Player>,
    shares: [f64; 3],
    games: u64,
    stay: f64,
}

impl Choice {
    fn month(&mut self, chance: &mut Chance, activity: &Activity) -> GroupedShare {
        self.players.retain(|_| chance.unit() < self.stay);
        self.players.iter_mut().for_each(|player| player.games = activity.draw(chance));
        let kept: u64 = self.players.iter().map(|player| player.games).sum();
        self.players.extend(crowd(chance, activity, self.games.saturating_sub(kept)));
        let moves = play(chance, &mut self.players, &self.shares, CORRELATION);
        let design_effect = DesignEffect::of(&moves).share;
        GroupedShare { k: moves[0], n: together(&moves), design_effect }
    }
}

fn effective(share: &GroupedShare) -> f64 {
    sum(&share.n) as f64 / share.design_effect
}

/// The product of two shares in a month.
fn product(at: f64, shares: &[GroupedShare; 2]) -> Dated {
    let factors = shares
        .map(|share| Factor::new(sum(&share.k), sum(&share.n)).with_effect(share.design_effect));
    let value = factors.iter().map(|factor| factor.k as f64 / factor.n as f64).product();
    let interval = product_interval(&factors, T_95);
    Dated { at, value, interval, errors: GroupErrors::of_product(shares) }
}

/// The changes of a share and of a product over so many months; nothing of it really changes.
fn tallies(effect: f64, months: usize, leagues: u64) -> [Tally; 2] {
    let mut chance = Chance::seeded(20_310_900 + months as u64 + (10.0 * effect) as u64);
    let activity = Activity::of(games_a_player(effect));
    let mut tallies = [Tally::default(); 2];
    for _ in 0..leagues {
        let stay = 0.45 * chance.whole(0, 2) as f64;
        let mut choice = || {
            let first = chance.between(0.05, 0.95);
            let shares = [first, 0.6 * (1.0 - first), 0.4 * (1.0 - first)];
            Choice {
                players: Vec::new(),
                shares,
                games: chance.games(80.0 * effect, 1500.0 * effect),
                stay,
            }
        };
        let mut choices = [choice(), choice()];
        let drawn: Vec<[GroupedShare; 2]> = (0..months)
            .map(|_| choices.each_mut().map(|choice| choice.month(&mut chance, &activity)))
            .collect();
        if drawn.iter().flatten().any(|share| effective(share) < MIN_SAMPLE) {
            continue;
        }
        let at = |month: usize| month as f64 + 0.1 * (month % 2) as f64;
        let points = drawn.iter().enumerate();
        let of_share: Vec<Dated> =
            points.clone().map(|(month, all)| dated(at(month), &all[0])).collect();
        let of_product: Vec<Dated> = points.map(|(month, all)| product(at(month), all)).collect();
        for (tally, points) in tallies.iter_mut().zip([of_share, of_product]) {
            tally.add(change_a_month(&points).expect("months").1, 0.0);
        }
    }
    assert_eq!(GROUPS, 32);
    tallies
}

/// Chance alone has a standard error of 1.1 % in 400 leagues and of 0.4 % in all of them together.
#[test]
fn changes_over_months_hold_the_truth_where_players_come_again() {
    let mut all = [Tally::default(); 2];
    for effect in EFFECTS {
        for months in [2, 3, 5] {
            for (sum, (name, tally)) in all
                .iter_mut()
                .zip(["share", "product"].into_iter().zip(tallies(effect, months, 400)))
            {
                let held = tally.held();
                assert!(
                    (0.90..=0.995).contains(&held),
                    "{name}, D {effect}, {months} months: {held}"
                );
                sum.merge(tally);
            }
        }
    }
    for (name, tally) in ["share", "product"].into_iter().zip(all) {
        assert!((0.93..=0.98).contains(&tally.held()), "{name}: {}", tally.held());
    }
}
