//! The chance of reaching a goal by any of several ways, with an interval.
//!
//! A position is a node; each of its choices has a share and leads to another node or to the
//! goal. The chance is the sum over the ways of the product of their shares. Two ways may meet
//! again, so their products hang together: the interval comes from the delta method over the
//! nodes, not over the ways.

use super::interval::Interval;
use super::product::Factor;

/// Where a choice leads.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Next {
    /// There.
    Goal,
    /// To a node that was added before.
    Node(PathId),
}

/// Names a node of [`PathSum`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PathId(usize);

#[derive(Clone, Debug)]
struct Fork {
    games: u64,
    /// So many games, at least 1, are worth one.
    effect: f64,
    /// Games that made the choice, and where it leads.
    choices: Vec<(u64, Next)>,
}

/// Nodes and choices without a circle: a choice leads to a node added earlier.
///
/// ```
/// use deadfall::answers::stats::{Next, PathSum};
///
/// let mut sum = PathSum::default();
/// let second = sum.node(200, 1.0, &[(100, Next::Goal)]);
/// let start = sum.node(1000, 1.0, &[(400, Next::Node(second)), (100, Next::Goal)]);
/// assert!((sum.value(start) - (0.4 * 0.5 + 0.1)).abs() < 1e-12);
/// ```
#[derive(Clone, Debug, Default)]
pub struct PathSum {
    nodes: Vec<Fork>,
}

impl PathSum {
    /// Adds a position of `games` games, of which `effect`, at least 1, are worth one, with the
    /// choices that can still lead to the goal, as games and next node.
    ///
    /// # Panics
    ///
    /// If a choice leads to a node that is not there yet.
    pub fn node(&mut self, games: u64, effect: f64, choices: &[(u64, Next)]) -> PathId {
        let known = |next: Next| !matches!(next, Next::Node(id) if id.0 >= self.nodes.len());
        assert!(choices.iter().all(|&(_, next)| known(next)), "a choice leads to an earlier node");
        self.nodes.push(Fork { games, effect: effect.max(1.0), choices: choices.to_vec() });
        PathId(self.nodes.len() - 1)
    }

    /// The chance of reaching the goal from `start`, 0 to 1; a position without games
    /// leads nowhere.
    pub fn value(&self, start: PathId) -> f64 {
        let share =
            |node: &Fork, k: u64| if node.games == 0 { 0.0 } else { k as f64 / node.games as f64 };
        self.chances(&share)[start.0].min(1.0)
    }

    /// The interval of [`value`](Self::value) with this multiplier of a standard error, within 0 to
    /// 1 and holding it.
    ///
    /// The shares of a node's choices and of all its others have the Jeffreys posterior of a
    /// multinomial, Dirichlet(k + 1/2) (J. M. Bernardo and A. F. M. Smith 1994, Bayesian Theory,
    /// section 5.4), independent from node to node. The chance is linear in each node's shares, so
    /// its posterior mean E is the chance at the mean shares and, by the delta method, its variance
    /// V is the sum over the nodes of (chance of coming there)^2 times the variance of the mean
    /// chance over the node's choices. The interval is that of the log-normal distribution with
    /// mean E and variance V.
    pub fn interval(&self, start: PathId, quantile: f64) -> Interval {
        let value = self.value(start);
        let alpha = |node: &Fork, k: u64| k as f64 / node.effect + 0.5;
        let others = |node: &Fork| {
            node.games - node.choices.iter().map(|(k, _)| k).sum::<u64>().min(node.games)
        };
        let weight = |node: &Fork| {
            let chosen = node.choices.iter().map(|&(k, _)| alpha(node, k)).sum::<f64>();
            alpha(node, others(node)) + chosen
        };
        // A position without games is left out here as in the value: nothing is known behind it.
        let share =
            |node: &Fork, k: u64| if node.games == 0 { 0.0 } else { alpha(node, k) / weight(node) };
        let chances = self.chances(&share);
        let mean = chances[start.0];
        let mut coming = vec![0.0; self.nodes.len()];
        coming[start.0] = 1.0;
        let mut variance = 0.0;
        for (index, node) in self.nodes.iter().enumerate().take(start.0 + 1).rev() {
            let (mut first, mut second) = (0.0, 0.0);
            for &(k, next) in &node.choices {
                let (share, onward) = (share(node, k), onward(&chances, next));
                first += share * onward;
                second += share * onward * onward;
                if let Next::Node(id) = next {
                    coming[id.0] += coming[index] * share;
                }
            }
            variance +=
                coming[index].powi(2) * (second - first * first).max(0.0) / (weight(node) + 1.0);
        }
        if mean <= 0.0 {
            return Interval::point(value);
        }
        let spread = (variance / (mean * mean)).ln_1p();
        let (centre, half) = (mean.ln() - spread / 2.0, quantile * spread.sqrt());
        let end = |x: f64| x.exp().min(1.0);
        Interval::new(end(centre - half), end(centre + half)).including(value)
    }

    /// Of the likeliest way from `start` to the goal, the choice with the fewest effective games.
    /// `None` if no way has a chance, or the way has no choice.
    pub fn thinnest(&self, start: PathId) -> Option<Factor> {
        let effective = |factor: &Factor| factor.n as f64 / factor.design_effect;
        let mut best: Vec<(f64, Option<Factor>)> = Vec::new();
        for node in &self.nodes[..=start.0] {
            let ways = node.choices.iter().map(|&(k, next)| {
                let (chance, thin) = match next {
                    Next::Goal => (1.0, None),
                    Next::Node(id) => best[id.0],
                };
                let here = Factor::new(k, node.games).with_effect(node.effect);
                let thin = thin.filter(|thin| effective(thin) < effective(&here)).unwrap_or(here);
                (chance * k as f64 / node.games.max(1) as f64, Some(thin))
            });
            best.push(ways.fold((0.0, None), |best, way| if way.0 > best.0 { way } else { best }));
        }
        best[start.0].1
    }

    /// The chance of the goal from each node.
    fn chances(&self, share: &dyn Fn(&Fork, u64) -> f64) -> Vec<f64> {
        let mut chances = Vec::with_capacity(self.nodes.len());
        for node in &self.nodes {
            let sum = node.choices.iter().map(|&(k, next)| share(node, k) * onward(&chances, next));
            chances.push(sum.sum());
        }
        chances
    }
}

fn onward(chances: &[f64], next: Next) -> f64 {
    match next {
        Next::Goal => 1.0,
        Next::Node(id) => chances[id.0],
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::answers::stats::Z_95;

    /// Two moves in either order: 1/2 x 1/4 + 1/5 x 1/2.
    fn two_orders() -> (PathSum, PathId) {
        let mut sum = PathSum::default();
        let a = sum.node(500, 1.0, &[(125, Next::Goal)]);
        let b = sum.node(200, 1.0, &[(100, Next::Goal)]);
        let start = sum.node(1000, 1.0, &[(500, Next::Node(a)), (200, Next::Node(b))]);
        (sum, start)
    }

    #[test]
    fn the_ways_add_up() {
        let (sum, start) = two_orders();
        assert!((sum.value(start) - 0.225).abs() < 1e-12);
        assert!(sum.interval(start, Z_95).contains(0.225));
        assert_eq!(sum.thinnest(start), Some(Factor::new(125, 500)));
    }

    #[test]
    fn a_position_without_games_leads_nowhere() {
        let mut sum = PathSum::default();
        let unknown = sum.node(0, 1.0, &[(0, Next::Goal)]);
        let start = sum.node(100, 1.0, &[(40, Next::Node(unknown))]);
        assert_eq!(sum.value(start), 0.0);
        assert_eq!(sum.interval(start, Z_95), Interval::point(0.0));
        assert_eq!(sum.thinnest(start), None);
    }

    #[test]
    fn games_of_few_players_widen_it() {
        let mut sum = PathSum::default();
        let start = sum.node(4000, 4.0, &[(1000, Next::Goal)]);
        let mut fewer = PathSum::default();
        let less = fewer.node(1000, 1.0, &[(250, Next::Goal)]);
        assert!(
            (sum.interval(start, Z_95).width() - fewer.interval(less, Z_95).width()).abs() < 1e-12
        );
    }

    /// By hand: by `a` 0.6 x 0.1, by `b` 0.4 x 0.9, though more games go by `a`. Of two steps that
    /// are as thin the first is named.
    #[test]
    fn the_likeliest_way_goes_by_shares_and_is_as_thin_as_its_fewest_players() {
        let mut sum = PathSum::default();
        let a = sum.node(10_000, 1.0, &[(1000, Next::Goal)]);
        let b = sum.node(100, 1.0, &[(90, Next::Goal)]);
        let start = sum.node(1000, 1.0, &[(600, Next::Node(a)), (400, Next::Node(b))]);
        assert_eq!(sum.thinnest(start), Some(Factor::new(90, 100)));
        let repeated = sum.node(1000, 100.0, &[(900, Next::Node(b))]);
        assert_eq!(sum.thinnest(repeated), Some(Factor::new(900, 1000).with_effect(100.0)));
        let as_thin = sum.node(100, 1.0, &[(30, Next::Node(b))]);
        assert_eq!(sum.thinnest(as_thin), Some(Factor::new(30, 100)));
    }

    #[test]
    fn no_chance_is_more_than_one() {
        for ways in 1..60 {
            let mut sum = PathSum::default();
            let start = sum.node(ways, 1.0, &vec![(1, Next::Goal); ways as usize]);
            assert!(sum.value(start) <= 1.0, "{ways}");
            assert!(sum.interval(start, Z_95).high <= 1.0, "{ways}");
        }
    }

    #[test]
    fn a_design_effect_below_one_counts_as_one() {
        let mut sum = PathSum::default();
        let (plain, less) =
            (sum.node(90, 1.0, &[(40, Next::Goal)]), sum.node(90, 0.5, &[(40, Next::Goal)]));
        assert_eq!(sum.interval(plain, Z_95), sum.interval(less, Z_95));
    }
}
