//! Further slips and refutations that the text of a trap gives as variations, and the time a slip takes.

use shakmaty::{Move, Position};

use super::asked::Asked;
use super::evidence::{Evidence, Node};
use super::report::{Alternatives, Other, TimeTaken};
use crate::answers::Sample;
use crate::answers::moves::times;
use crate::lines::san_text;
use crate::terms::MoveCode;

/// Every slip that the text marks in the trap position, this trap's first.
pub(super) fn slips(evidence: &Evidence, asked: &Asked<'_>) -> Option<Alternatives> {
    let trap = evidence.trap;
    alternatives(evidence, &evidence.slip, (trap.slip(), trap.other_slips()), asked)
}

/// Every refutation that the text gives, the main one first.
pub(super) fn refutations(evidence: &Evidence, asked: &Asked<'_>) -> Option<Alternatives> {
    let trap = evidence.trap;
    alternatives(evidence, &evidence.reply, (trap.refutation(), trap.other_refutations()), asked)
}

/// None if there is only the first.
fn alternatives(
    evidence: &Evidence,
    node: &Node<'_>,
    (first, others): (Move, &[Move]),
    asked: &Asked<'_>,
) -> Option<Alternatives> {
    if others.is_empty() {
        return None;
    }
    let filter = asked.filter();
    let (shares, scores) = (asked.shares(node), asked.scores(node));
    let mover = node.position.turn();
    let (mut together, all) = (0, node.split(filter).n);
    let row = |&mv: &Move| {
        let code = MoveCode::of(mv);
        let counts = node.counts.as_deref();
        let sample =
            Sample::of_moves(counts, |other| other == code, filter, mover, &evidence.baseline);
        let setters = if mover == evidence.trap.setter() { sample } else { sample.swapped() };
        together += sample.games();
        Other {
            san: san_text(node.position, mv),
            share: shares.share(sample.games(), all),
            edge: setters.edge(scores),
        }
    };
    let moves = std::iter::once(&first).chain(others).map(row).collect();
    Some(Alternatives { moves, together: shares.share(together, all) })
}

/// Seconds that the slip and the other moves in the trap position took.
pub(super) fn time(evidence: &Evidence, asked: &Asked<'_>) -> TimeTaken {
    let moves = || evidence.slip.counts.iter().flat_map(|counts| &counts.moves);
    let of = |slip: bool| {
        let wanted = moves().filter(|mv| (mv.code == evidence.slip.code) == slip);
        times(wanted, asked.filter())
    };
    let (slip, others) = (of(true), of(false));
    let sampling = asked.times(&evidence.slip);
    TimeTaken {
        slip_s: sampling.seconds(&slip),
        others_s: sampling.seconds(&others),
        difference_s: sampling.seconds_more(&slip, &others),
    }
}
