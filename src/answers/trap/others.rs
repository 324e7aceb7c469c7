//! Further slips and refutations that the text of a trap gives as variations, and the time a slip takes.

use shakmaty::{Move, Position};

use super::evidence::{Evidence, Node};
use super::report::{Alternatives, Other, TimeTaken};
use crate::answers::moves::times;
use crate::answers::{Question, Sample};
use crate::lines::san_text;
use crate::terms::MoveCode;

/// Every slip that the text marks in the trap position, this trap's first.
pub(super) fn slips(evidence: &Evidence, question: &Question) -> Option<Alternatives> {
    let trap = evidence.trap;
    alternatives(evidence, &evidence.slip, (trap.slip(), trap.other_slips()), question)
}

/// Every refutation that the text gives, the main one first.
pub(super) fn refutations(evidence: &Evidence, question: &Question) -> Option<Alternatives> {
    let trap = evidence.trap;
    alternatives(evidence, &evidence.reply, (trap.refutation(), trap.other_refutations()), question)
}

/// None if there is only the first.
fn alternatives(
    evidence: &Evidence,
    node: &Node<'_>,
    (first, others): (Move, &[Move]),
    question: &Question,
) -> Option<Alternatives> {
    if others.is_empty() {
        return None;
    }
    let (filter, sampling) = (question.filter, question.sampling());
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
            share: sampling.share(sample.games(), all),
            edge: setters.edge(sampling),
        }
    };
    let moves = std::iter::once(&first).chain(others).map(row).collect();
    Some(Alternatives { moves, together: sampling.share(together, all) })
}

/// Seconds that the slip and the other moves in the trap position took.
pub(super) fn time(evidence: &Evidence, question: &Question) -> TimeTaken {
    let moves = || evidence.slip.counts.iter().flat_map(|counts| &counts.moves);
    let of = |slip: bool| {
        let wanted = moves().filter(|mv| (mv.code == evidence.slip.code) == slip);
        times(wanted, question.filter)
    };
    let (slip, others) = (of(true), of(false));
    let sampling = question.sampling();
    TimeTaken {
        slip_s: sampling.seconds(&slip),
        others_s: sampling.seconds(&others),
        difference_s: sampling.seconds_more(&slip, &others),
    }
}
