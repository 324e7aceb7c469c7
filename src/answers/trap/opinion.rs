//! What an engine says to a trap: the trap position, the best defence, every slip, and the
//! refutation of the one that loses least.

use shakmaty::{Chess, Move, Position};

use super::advice::Advice;
use super::report::TrapReport;
use super::soundness::EngineEvidence;
use crate::lines::{MarkedSlip, Trap, san_text};

/// Whoever evaluates positions.
pub trait Evaluator {
    /// What it calls itself.
    fn name(&self) -> String;

    /// Evaluates a position in which the game is not over.
    ///
    /// # Errors
    ///
    /// Why it cannot, in words.
    fn evaluate(&mut self, position: &Chess) -> Result<Evaluation, String>;
}

/// What is said to one position.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Evaluation {
    /// Centipawns from the view of the side to move, within +-1000; a mate counts 1000.
    pub cp: i32,
    /// The best move; legal.
    pub best: Move,
    /// Positions looked at.
    pub nodes: u64,
}

/// Adds an evaluator's word to each report, or why there is none; returns what put an end to it.
/// What failed once is not asked again.
pub fn consult<'a, E: Evaluator>(
    mut evaluator: Result<E, String>,
    traps: impl Iterator<Item = (&'a mut TrapReport, &'a Trap)>,
) -> Result<(), String> {
    for (report, trap) in traps {
        let said = match &mut evaluator {
            Ok(evaluator) => opinion(evaluator, trap),
            Err(why) => Err(why.clone()),
        };
        if let Err(why) = &said {
            evaluator = Err(why.clone());
        }
        report.soundness = report.soundness.clone().with_engine(said);
        report.advice = Advice::of(&report.figures, &report.soundness, &report.grounds);
    }
    evaluator.map(drop)
}

fn opinion(evaluator: &mut impl Evaluator, trap: &Trap) -> Result<EngineEvidence, String> {
    let position = trap.position();
    let Evaluation { best, nodes, .. } = evaluator.evaluate(position)?;
    let mut defended = position.clone();
    defended.play_unchecked(best);
    let mut n = nodes;
    let mut value = |position: &Chess| match over(position) {
        Some(cp) => Ok(cp),
        None => evaluator.evaluate(position).map(|evaluation| {
            n = evaluation.nodes.saturating_add(n);
            evaluation.cp
        }),
    };
    // Behind the victim's moves it is the setter's turn, behind a refutation the victim's.
    let without_slip = value(&defended)?;
    let mut least: Option<(i32, &MarkedSlip)> = None;
    for slip in trap.slips() {
        let after = value(slip.position_after())?;
        least = least.filter(|(known, _)| *known <= after).or(Some((after, slip)));
    }
    let (after_slip, slip) = least.expect("a trap has a slip");
    let after_refutation = -value(slip.line().position(slip.ply_after() + 1))?;
    Ok(EngineEvidence {
        n,
        name: evaluator.name(),
        best: san_text(position, best),
        without_slip_cp: without_slip.into(),
        slip: slip.san(),
        after_slip_cp: after_slip.into(),
        after_refutation_cp: after_refutation.into(),
        slip_loses_cp: (after_slip - without_slip).into(),
    })
}

/// Where the game is over the rules answer.
fn over(position: &Chess) -> Option<i32> {
    position.is_game_over().then(|| if position.is_checkmate() { -1000 } else { 0 })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::answers::Question;
    use crate::answers::kit::ModelCounts;
    use crate::answers::trap::{AdviceCode, SoundnessCode, judge};

    /// Says that everything is worth a pawn, until it has had enough.
    struct Pawn(u64);

    impl Evaluator for Pawn {
        fn name(&self) -> String {
            "Pawn".into()
        }

        fn evaluate(&mut self, position: &Chess) -> Result<Evaluation, String> {
            self.0 = self.0.checked_sub(1).ok_or("it died")?;
            let best = *position.legal_moves().first().expect("the game is not over");
            Ok(Evaluation { cp: 100, best, nodes: 7 })
        }
    }

    #[test]
    fn an_evaluator_is_asked_until_it_fails_and_the_rules_answer_where_the_game_is_over() {
        let trap = Trap::from_text("1. f3 e5 2. g4?? Qh4#").swap_remove(0).expect("a trap");
        let Ok(report) = judge(&ModelCounts::new(), &trap, &Question::default());
        let mut reports = [report.clone(), report.clone(), report];
        let told = consult(Ok(Pawn(5)), reports.iter_mut().zip([&trap; 3]));
        assert_eq!(told, Err("it died".into()));
        // What does not lose is skipped, and without an engine the advice asks for one.
        let advice = reports.each_ref().map(|report| report.advice.codes[0]);
        assert_eq!(advice, [AdviceCode::Skip, AdviceCode::Undecided, AdviceCode::Undecided]);
        let [first, second, third] = reports.map(|report| report.soundness);
        let Some(super::super::SoundnessSource::Engine(engine)) = first.sources.last() else {
            panic!("the engine comes last")
        };
        assert_eq!((engine.n, engine.without_slip_cp, engine.slip_loses_cp), (21, 100.0, 0.0));
        assert_eq!(engine.after_refutation_cp, 1000.0);
        assert_eq!((first.verdict, first.notes.len()), (SoundnessCode::NoSlip, 0));
        assert_eq!((second.notes, third.notes), (vec!["it died".into()], vec!["it died".into()]));
    }
}
