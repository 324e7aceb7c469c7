//! What the setter's choices on the way to the bait cost: the net compares the bait alone with the
//! other moves.

use shakmaty::Position;

use super::asked::Asked;
use super::behind::Behind;
use super::cache::Cache;
use super::evidence::Node;
use super::report::{EarlierChoice, Usual};
use super::scores::of_moves;
use super::worth::most_played_other;
use crate::answers::{Figure, Sample};
use crate::counts::Counts;

/// Each of the positions in which the setter chooses before the bait: the line's move against all
/// others there.
pub(super) fn earlier_choices<C: Counts>(
    cache: &Cache<'_, C>,
    nodes: &[Node<'_>],
    asked: &Asked<'_>,
) -> Result<Vec<EarlierChoice>, C::Error> {
    let choice = |node: &Node<'_>| {
        let edge = |own: bool, behind: &[Behind]| {
            let wanted = |code| node.has(code) == own;
            let (counts, mover) = (node.counts.as_deref(), node.position.turn());
            let sample = Sample::of_moves(counts, wanted, asked.filter(), mover, cache.baseline());
            let effect = of_moves(asked.effect(node), sample.games(), behind, asked);
            sample.edge(asked.sampling(effect).lacking(node.lacking))
        };
        let played = edge(true, &node.behind_own(cache)?);
        let others = edge(false, &node.behind_others(cache)?);
        let pieces = [("edge", &played), ("usual", &others)];
        Ok(EarlierChoice {
            san: node.numbered(),
            difference: Figure::combined(pieces, |[played, others]| (played - others, [1.0, -1.0])),
            edge: played,
            usual: Usual { san: most_played_other(node, asked.filter()), edge: others },
        })
    };
    nodes.iter().map(choice).collect()
}
