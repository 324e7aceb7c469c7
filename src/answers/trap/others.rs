//! Several slips and refutations of one trap, each alone, and the time a slip takes.

use shakmaty::Move;

use super::asked::Asked;
use super::evidence::{Evidence, Node};
use super::report::{Alternatives, Refutation, Slip, TimeTaken};
use super::scores::of_moves;
use crate::answers::moves::times;
use crate::answers::{Figure, Sample};
use crate::lines::san_text;
use crate::terms::MoveCode;

/// Every slip that is marked in the trap position, this line's first; none if there is only that.
pub(super) fn slips(
    evidence: &Evidence,
    asked: &Asked<'_>,
    together: &Figure,
) -> Option<Alternatives<Slip>> {
    let (filter, node) = (asked.filter(), &evidence.slip);
    let all = node.split(filter).n;
    let slips = evidence.replies.iter().map(|reply| {
        let slipped = reply.slipped(filter);
        let answers = asked.answers(reply.node.key, reply.node.counts.as_deref());
        let effect = asked.effect(node).of_score(slipped.games(), answers);
        Slip {
            san: reply.slip.san(),
            share: asked.shares(node).share(slipped.games(), all),
            edge: slipped.edge(asked.sampling(effect).lacking(node.lacking)),
            find_rate: asked.share(&reply.node),
        }
    });
    alternatives(slips.collect(), together)
}

/// Every refutation of every slip, this line's first; none if there is only that.
pub(super) fn refutations(
    evidence: &Evidence,
    asked: &Asked<'_>,
    together: &Figure,
) -> Option<Alternatives<Refutation>> {
    let setter = evidence.trap.setter();
    let of = |node: &Node<'_>, mv: Move| {
        let (filter, code) = (asked.filter(), MoveCode::of(mv));
        let (counts, its) = (node.counts.as_deref(), |other| other == code);
        Sample::of_moves(counts, its, filter, setter, &evidence.baseline)
    };
    let refutations = evidence.replies.iter().flat_map(|reply| {
        let node = &reply.node;
        let all = node.split(asked.filter()).n;
        reply.slip.refutations().iter().map(move |&mv| {
            let sample = of(node, mv);
            let behind = reply.behind.iter().find(|behind| behind.code == MoveCode::of(mv));
            let effect = of_moves(asked.effect(node), sample.games(), behind, asked);
            Refutation {
                after: reply.slip.san(),
                san: san_text(node.position, mv),
                share: asked.shares(node).share(sample.games(), all),
                edge: sample.edge(asked.sampling(effect).lacking(node.lacking)),
            }
        })
    });
    alternatives(refutations.collect(), together)
}

fn alternatives<M>(moves: Vec<M>, together: &Figure) -> Option<Alternatives<M>> {
    (moves.len() > 1).then(|| Alternatives { moves, together: together.clone() })
}

/// Seconds that the slips and the other moves in the trap position took.
pub(super) fn time(evidence: &Evidence, asked: &Asked<'_>) -> TimeTaken {
    let moves = || evidence.slip.counts.iter().flat_map(|counts| &counts.moves);
    let of = |slip: bool| {
        let wanted = moves().filter(|mv| evidence.slip.has(mv.code) == slip);
        times(wanted, asked.filter())
    };
    let (slip, others) = (of(true), of(false));
    let [slip_s, others_s, difference_s] =
        asked.times(&evidence.slip).seconds_of_two(&slip, &others);
    TimeTaken { slip_s, others_s, difference_s }
}
