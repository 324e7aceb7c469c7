//! What chance alone makes of intervals that keep their promise.

use std::collections::BTreeMap;
use std::iter;

use deadfall::answers::stats::{Margin, wilson};
use serde_json::Value;

/// How far the number of intervals that hold the truth may lie from what theory expects, in
/// standard errors.
///
/// Six families of intervals are looked at, each from both sides; a normal variable is farther out
/// than 3.8 with probability 0.00014, so a right program fails in one of 1100 runs. Within a family
/// the intervals are independent once the games that came to each choice are given: other traps,
/// other seeds, other bands but for the few players at their edges, the victim's choice and the
/// setter's, since habits in different positions are independent. The few games that come through
/// two traps draw anew in each. Only the paces of one trap share their players. Between families
/// intervals are not independent (bands, paces and the whole share games), which the sum of the
/// probabilities does not need.
const STANDARD_ERRORS: f64 = 3.8;

/// The share of the choices that follow the player's habit; the invented league's own, of which the
/// square is its correlation of 0.8.
const KEPT: f64 = 0.8944;

/// Choices by player: number and true share, for each band that the player was in.
pub type Players = BTreeMap<u32, Vec<(u64, f64)>>;

/// Intervals of one family: how many hold the truth, and how many should.
#[derive(Default)]
pub struct Family {
    all: u32,
    held: u32,
    /// Sums of the least and the most that theory expects, and of the variances there.
    least: (f64, f64),
    most: (f64, f64),
    /// Those that show their value: how many, and how many of them should hold the truth.
    shown: (u32, f64),
}

impl Family {
    /// A share of the choices of these players. Its interval is Wilson's on effective numbers. With
    /// the design effect that the program found, it holds the truth with a probability that follows
    /// from the distribution of the hits of such players alone.
    pub fn share(&mut self, rate: &Value, players: &Players) {
        self.shares(iter::once((rate.clone(), players.clone())));
    }

    /// Several shares of the same players, whose hits hang together in a way that is not looked at:
    /// their standard errors add up.
    pub fn shares(&mut self, rates: impl Iterator<Item = (Value, Players)>) {
        let mut error = 0.0;
        for (rate, players) in rates.filter(|(rate, _)| !rate["low"].is_null()) {
            let choices = || players.values().flatten();
            let games: u64 = choices().map(|(n, _)| n).sum();
            assert_eq!(rate["n"], games, "the games of a choice are those that were drawn");
            let truth = choices().map(|&(n, share)| n as f64 * share).sum::<f64>() / games as f64;
            let effect = games as f64 / rate["n_eff"].as_f64().expect("a number");
            let promised = coverage(&players, truth, effect);
            self.note(&rate, truth);
            self.least.0 += promised;
            self.most.0 += promised;
            error += (promised * (1.0 - promised)).sqrt();
            if !rate["value"].is_null() {
                self.shown = (self.shown.0 + 1, self.shown.1 + promised);
            }
        }
        self.least.1 += error * error;
        self.most.1 += error * error;
    }

    /// A mean time. Its interval is an approximation: 93 to 97 % are promised.
    pub fn time(&mut self, mean: &Value, truth: f64) {
        if !mean["low"].is_null() {
            self.note(mean, truth);
            for (sum, share) in [(&mut self.least, 0.93), (&mut self.most, 0.97)] {
                sum.0 += share;
                sum.1 += share * (1.0 - share);
            }
        }
    }

    fn note(&mut self, figure: &Value, truth: f64) {
        let end = |name: &str| figure[name].as_f64().expect("both ends are known");
        self.all += 1;
        self.held += u32::from(end("low") <= truth && truth <= end("high"));
    }

    /// Asserts that the family keeps its promise; at least so many intervals have to be there.
    #[expect(clippy::print_stdout, reason = "--nocapture shows the figures")]
    pub fn check(&self, what: &str, at_least: u32) {
        let low = self.least.0 - STANDARD_ERRORS * self.least.1.sqrt();
        let high = self.most.0 + STANDARD_ERRORS * self.most.1.sqrt();
        let (held, all) = (self.held, self.all);
        let (shown, sum) = self.shown;
        println!("{what}: {held} of {all} hold the truth, {low:.1} to {high:.1} are right");
        assert!(all >= at_least, "{what}: only {all} intervals");
        if shown > 0 {
            // The design effects that the program found are those of such players.
            let promised = sum / f64::from(shown);
            println!("{what}: {promised:.4} of the {shown} shares that show their value should");
            assert!((0.93..=0.97).contains(&promised), "{what}: {promised}");
        }
        assert!((low..=high).contains(&f64::from(held)), "{what}: {held} of {all}");
    }
}

/// The probability that Wilson's interval of the hits among these choices holds `truth` if `effect`
/// of them are worth one: every number of hits by its chance, which is worked out player by player.
fn coverage(players: &Players, truth: f64, effect: f64) -> f64 {
    let mut chances = vec![1.0];
    for own in players.values() {
        chances = convolved(&chances, &hits(own));
    }
    let games = chances.len() as u64 - 1;
    let z = Margin::of(effect).z();
    let holds = |hits: u64| wilson(hits, games, z).is_some_and(|interval| interval.contains(truth));
    let sum: f64 = (0..=games).filter(|&hits| holds(hits)).map(|hits| chances[hits as usize]).sum();
    // Thousands of roundings may add up to a hair more.
    sum.min(1.0)
}

/// The distribution of the hits of one player: a habit is a number from 0 to 1, below the share a
/// hit, and most choices follow it.
fn hits(own: &[(u64, f64)]) -> Vec<f64> {
    let mut steps: Vec<f64> = own.iter().map(|(_, share)| *share).chain([0.0, 1.0]).collect();
    steps.sort_by(f64::total_cmp);
    let games: u64 = own.iter().map(|(games, _)| games).sum();
    let mut mixed = vec![0.0; games as usize + 1];
    for step in steps.windows(2).filter(|step| step[1] > step[0]) {
        let mut chances = vec![1.0];
        for &(games, share) in own {
            let habit = if step[0] < share { KEPT } else { 0.0 };
            let hit = habit + (1.0 - KEPT) * share;
            (0..games).for_each(|_| chances = convolved(&chances, &[1.0 - hit, hit]));
        }
        mixed.iter_mut().zip(chances).for_each(|(sum, part)| *sum += (step[1] - step[0]) * part);
    }
    mixed
}

/// The distribution of the sum of two independent numbers.
fn convolved(first: &[f64], second: &[f64]) -> Vec<f64> {
    let mut sum = vec![0.0; first.len() + second.len() - 1];
    for (a, p) in first.iter().enumerate() {
        for (b, q) in second.iter().enumerate() {
            sum[a + b] += p * q;
        }
    }
    sum
}

/// One game: with a normal quantile of 2.04 no hit gives 0 to 0.806, a hit 0.194 to 1, so a half is
/// always held and 0.9 by hits alone.
#[test]
fn the_coverage_of_one_game_is_worked_out_by_hand() {
    let one = |share| Players::from([(1, vec![(1, share)])]);
    assert!((coverage(&one(0.5), 0.5, 1.0) - 1.0).abs() < 1e-12);
    assert!((coverage(&one(0.9), 0.9, 1.0) - 0.9).abs() < 1e-12);
}

/// Two games of one player: both hit with p^2 + c p (1 - p), c = KEPT^2 being the correlation of
/// the choices.
#[test]
fn two_choices_of_a_player_correlate_as_habits_do() {
    let (share, both) = (0.3, hits(&[(2, 0.3)])[2]);
    assert!((both - (share * share + KEPT * KEPT * share * (1.0 - share))).abs() < 1e-12);
    let apart = hits(&[(1, 0.3), (1, 0.3)])[2];
    assert!((apart - both).abs() < 1e-12);
}

/// L. D. Brown, T. T. Cai and A. DasGupta 2001, Statistical Science 16:101-133, section 3.1.1:
/// Wilson's interval holds the truth in about 95 % on average; Student's quantile makes that 96 %.
#[test]
fn the_coverage_of_fifty_games_is_near_95_percent_on_average() {
    let shares: Vec<f64> = (1..100).map(|percent| f64::from(percent) / 100.0).collect();
    let players = |share| (0..50).map(|player| (player, vec![(1, share)])).collect();
    let each = shares.iter().map(|&share| coverage(&players(share), share, 1.0));
    let mean = each.sum::<f64>() / 99.0;
    assert!((0.95..0.97).contains(&mean), "{mean}");
}
