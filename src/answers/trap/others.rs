//! Further slips and refutations that the text of a trap gives as variations, and the time a slip takes.

use shakmaty::san::SanPlus;
use shakmaty::{Chess, Move};

use super::evidence::Evidence;
use super::{Alternatives, Other, TimeTaken, TrapLine};
use crate::answers::moves::times;
use crate::answers::{Mean, Question, Rate, Sample};
use crate::counts::PositionCounts;
use crate::terms::MoveCode;

/// Every slip that the text marks in the trap position, this trap's first.
pub(super) fn slips(
    evidence: &Evidence,
    line: &TrapLine,
    question: &Question,
) -> Option<Alternatives> {
    let position = &evidence.slip.position;
    let mover = evidence.victim;
    let counts = evidence.slip.counts.as_deref();
    let first = line.moves[line.slip];
    alternatives(
        position,
        counts,
        first,
        &line.other_slips,
        |code| {
            let of_move = |mv| mv == code;
            let filter = question.filter;
            Sample::of_moves(counts, of_move, filter, mover, evidence.totals).swapped()
        },
        question,
    )
}

/// Every refutation that the text gives, the main one first.
pub(super) fn refutations(
    evidence: &Evidence,
    line: &TrapLine,
    question: &Question,
) -> Option<Alternatives> {
    let counts = evidence.after_counts.as_deref();
    let first = *line.moves.get(line.slip + 1)?;
    let mover = evidence.setter();
    alternatives(
        &evidence.after,
        counts,
        first,
        &line.other_refutations,
        |code| Sample::of_moves(counts, |mv| mv == code, question.filter, mover, evidence.totals),
        question,
    )
}

/// None if there is only the first. `sample` is from the setter's view.
fn alternatives(
    position: &Chess,
    counts: Option<&PositionCounts>,
    first: Move,
    others: &[Move],
    sample: impl Fn(MoveCode) -> Sample,
    question: &Question,
) -> Option<Alternatives> {
    if others.is_empty() {
        return None;
    }
    let moves = counts.into_iter().flat_map(|counts| &counts.moves);
    let all: u64 = moves.map(|mv| mv.sum(question.filter).games).sum();
    let sampling = question.sampling();
    let mut together = 0;
    let row = |mv: &Move| {
        let sample = sample(MoveCode::of(*mv));
        together += sample.games();
        Other {
            san: SanPlus::from_move(position.clone(), *mv).to_string(),
            share: Rate::of(sample.games(), all, sampling),
            edge: sample.edge(sampling),
        }
    };
    let moves = std::iter::once(&first).chain(others).map(row).collect();
    Some(Alternatives { moves, together: Rate::of(together, all, sampling) })
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
        slip_s: Mean::of_times(&slip, 0.1, sampling),
        others_s: Mean::of_times(&others, 0.1, sampling),
        difference_s: Mean::difference(&slip, &others, 0.1, sampling),
    }
}
