//! What chance alone makes of intervals that keep their promise.

use deadfall::answers::stats::wilson;
use serde_json::Value;

/// How far the number of intervals that hold the truth may lie from what theory expects, in standard errors.
///
/// Six families of intervals are looked at, each from both sides; a normal variable is farther out than 3.8 with probability
/// 0.00014, so a right program fails in one of 1100 runs. Within a family the intervals are independent once the games that came to
/// each choice are given: other traps, other seeds, other bands, the victim's choice and the setter's. The few games that come
/// through two traps draw anew in each. Between families they are not (bands, paces and the whole share games), which the sum of the
/// probabilities does not need.
const STANDARD_ERRORS: f64 = 3.8;

/// Intervals of one family: how many hold the truth, and how many should.
#[derive(Default)]
pub struct Family {
    all: u32,
    held: u32,
    /// Sums of the least and the most that theory expects, and of the variances there.
    least: (f64, f64),
    most: (f64, f64),
}

impl Family {
    /// A share whose games are of `groups`: number and true share. Its interval is Wilson's, which holds the truth with a probability
    /// that follows from the distribution of the hits alone; it is not 95 % where games are few.
    pub fn share(&mut self, rate: &Value, groups: &[(u64, f64)]) {
        if rate["low"].is_null() {
            return;
        }
        let games: u64 = groups.iter().map(|(n, _)| n).sum();
        assert_eq!(rate["n"], games, "the games of a choice are those that were drawn");
        let truth = groups.iter().map(|&(n, share)| n as f64 * share).sum::<f64>() / games as f64;
        let promised = coverage(groups, truth);
        self.note(rate, truth, promised, promised);
    }

    /// A mean time. Its interval is an approximation: 93 to 97 % are promised.
    pub fn time(&mut self, mean: &Value, truth: f64) {
        if !mean["low"].is_null() {
            self.note(mean, truth, 0.93, 0.97);
        }
    }

    fn note(&mut self, figure: &Value, truth: f64, least: f64, most: f64) {
        let end = |name: &str| figure[name].as_f64().expect("both ends are known");
        self.all += 1;
        self.held += u32::from(end("low") <= truth && truth <= end("high"));
        for (sum, share) in [(&mut self.least, least), (&mut self.most, most)] {
            sum.0 += share;
            sum.1 += share * (1.0 - share);
        }
    }

    /// Asserts that the family keeps its promise; at least so many intervals have to be there.
    #[expect(clippy::print_stdout, reason = "--nocapture shows the figures")]
    pub fn check(&self, what: &str, at_least: u32) {
        let low = self.least.0 - STANDARD_ERRORS * self.least.1.sqrt();
        let high = self.most.0 + STANDARD_ERRORS * self.most.1.sqrt();
        let (held, all) = (self.held, self.all);
        println!("{what}: {held} of {all} hold the truth, {low:.1} to {high:.1} are right");
        assert!(all >= at_least, "{what}: only {all} intervals");
        assert!((low..=high).contains(&f64::from(held)), "{what}: {held} of {all}");
    }
}

/// The probability that Wilson's interval of the hits among these games holds `truth`: every number of hits by its chance, which is added
/// up game by game.
fn coverage(groups: &[(u64, f64)], truth: f64) -> f64 {
    let mut chances = vec![1.0];
    for &(games, share) in groups {
        for _ in 0..games {
            chances.push(0.0);
            for hits in (1..chances.len()).rev() {
                chances[hits] = chances[hits] * (1.0 - share) + chances[hits - 1] * share;
            }
            chances[0] *= 1.0 - share;
        }
    }
    let games = chances.len() as u64 - 1;
    let holds = |hits: u64| wilson(hits, games).is_some_and(|interval| interval.contains(truth));
    (0..=games).filter(|&hits| holds(hits)).map(|hits| chances[hits as usize]).sum()
}

/// One game: no hit gives 0 to 0.793, a hit 0.207 to 1, so a half is always held and 0.9 by hits alone.
#[test]
fn the_coverage_of_one_game_is_worked_out_by_hand() {
    assert!((coverage(&[(1, 0.5)], 0.5) - 1.0).abs() < 1e-12);
    assert!((coverage(&[(1, 0.9)], 0.9) - 0.9).abs() < 1e-12);
}

/// L. D. Brown, T. T. Cai and A. DasGupta 2001, Statistical Science 16:101-133, section 3.1.1: Wilson's interval holds the truth in
/// about 95 % on average.
#[test]
fn the_coverage_of_fifty_games_is_near_95_percent_on_average() {
    let shares: Vec<f64> = (1..100).map(|percent| f64::from(percent) / 100.0).collect();
    let mean = shares.iter().map(|&share| coverage(&[(50, share)], share)).sum::<f64>() / 99.0;
    assert!((0.945..0.96).contains(&mean), "{mean}");
}
