//! What the setter's choices on the way to the bait cost: the net compares the bait alone with the usual moves.

use shakmaty::Position;

use super::asked::Asked;
use super::evidence::Node;
use super::report::{EarlierChoice, Usual};
use super::worth::most_played_other;
use crate::answers::{Baseline, Figure, Sample};

/// Each of the positions in which the setter chooses before the bait: the line's move against all others there.
pub(super) fn earlier_choices(
    nodes: &[Node<'_>],
    asked: &Asked<'_>,
    baseline: &Baseline,
) -> Vec<EarlierChoice> {
    let choice = |node: &Node<'_>| {
        let edge = |own: bool| {
            let wanted = |code| node.has(code) == own;
            let (counts, mover) = (node.counts.as_deref(), node.position.turn());
            let sample = Sample::of_moves(counts, wanted, asked.filter(), mover, baseline);
            sample.edge(asked.scores(node))
        };
        let (played, others) = (edge(true), edge(false));
        let pieces = [("edge", &played), ("usual", &others)];
        EarlierChoice {
            san: node.numbered(),
            difference: Figure::combined(pieces, |[played, others]| (played - others, [1.0, -1.0])),
            edge: played,
            usual: Usual { san: most_played_other(node, asked.filter()), edge: others },
        }
    };
    nodes.iter().map(choice).collect()
}
