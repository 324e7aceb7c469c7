//! What a lesson says about one trap beyond its report: the same by pace, and what is played when
//! the victim does not slip.

use super::Question;
use super::months::TrapMonths;
use super::moves::{MoveRow, MoveTable, table};
use super::steps::{Step, steps};
use super::trap::{TrapReport, VictimAdvice, VictimReport, judge, left_worse, victim_report};
use crate::counts::Counts;
use crate::lines::{Line, MarkedSlip, Trap};
use crate::terms::{Key, MoveCode};
use shakmaty::Chess;

/// How many of the victim's other answers are followed.
const ANSWERS: usize = 4;
/// An answer that is played less often than this share is not followed.
const SELDOM: f64 = 0.02;

/// All that a lesson needs to know about one trap.
#[derive(Clone, Debug)]
pub struct Material {
    /// The line.
    pub trap: Trap,
    /// The report, with each pace apart.
    pub report: TrapReport,
    /// What is played in the trap position; the movers are the victims.
    pub victims: MoveTable,
    /// Moves there, UCI, that evaluations say leave the victim worse although others do not: no
    /// pupil is told to play them.
    pub left_worse: Vec<String>,
    /// The victim's other answers, most played first.
    pub answers: Vec<OtherAnswer>,
    /// Where games go from the first move to the slip.
    pub steps: Vec<Step>,
    /// The same over several stores, if others were asked.
    pub months: Option<TrapMonths>,
    /// The view of who may fall into it, if the lesson is for them.
    pub victim: Option<VictimReport>,
}

/// An answer of the victim other than the slip.
#[derive(Clone, Debug)]
pub struct OtherAnswer {
    /// Which row of [`Material::victims`] it is.
    pub row: usize,
    /// The line up to it.
    pub line: Line,
    /// What setters reply; the movers are the setters.
    pub replies: MoveTable,
    /// Replies, UCI, that evaluations say leave the setter worse although others do not.
    pub left_worse: Vec<String>,
}

impl Material {
    /// Looks up and judges everything about one trap.
    pub fn of<C: Counts>(
        counts: &C,
        trap: Trap,
        question: &Question,
        for_victims: bool,
    ) -> Result<Material, C::Error> {
        let report = judge(counts, &trap, &Question { by_pace: true, ..*question })?;
        let victims = table(counts, trap.position(), question)?;
        let slips: Vec<_> = trap.slips().iter().map(|slip| MoveCode::of(slip.slip())).collect();
        let left_worse = worse(counts, trap.position(), &slips)?;
        let answers = answers(counts, &trap, &victims, question)?;
        let steps = steps(counts, &trap, question)?;
        let victim = for_victims.then(|| victim_report(counts, &trap, &report, question));
        let victim = victim.transpose()?;
        Ok(Material { trap, report, victims, left_worse, answers, steps, months: None, victim })
    }

    /// What those who face it should do, by the report as it is now: an engine may have spoken.
    pub fn victim_advice(&self) -> VictimAdvice {
        VictimAdvice::of(&self.report)
    }

    /// The report as `trap` has it.
    pub fn asked(&self, question: &Question) -> TrapReport {
        let mut report = self.report.clone();
        if !question.by_pace {
            report.by_pace.clear();
        }
        report
    }

    /// The same for those who face it, if the lesson is for them.
    pub fn asked_by_victim(&self) -> Option<VictimReport> {
        Some(VictimReport { advice: self.victim_advice(), ..self.victim.clone()? })
    }
}

/// The moves there, UCI, that evaluations say leave the mover worse although others do not.
fn worse<C: Counts>(
    counts: &C,
    position: &Chess,
    slips: &[MoveCode],
) -> Result<Vec<String>, C::Error> {
    let found = counts.position(Key::of(position))?;
    let worse = left_worse(found.iter().flat_map(|found| &found.moves), slips);
    Ok(worse.iter().map(MoveCode::to_string).collect())
}

fn answers<C: Counts>(
    counts: &C,
    trap: &Trap,
    victims: &MoveTable,
    question: &Question,
) -> Result<Vec<OtherAnswer>, C::Error> {
    // By counts: a thin share has no value, and is shown all the same.
    let often = |row: &MoveRow| row.games as f64 >= SELDOM * victims.games as f64;
    let rows = victims.moves.iter().enumerate();
    let slips: Vec<String> = trap.slips().iter().map(MarkedSlip::san).collect();
    let others = rows
        .filter(|(_, row)| !slips.contains(&row.san))
        .filter(|(_, row)| often(row))
        .take(ANSWERS);
    let before = trap.line().first(trap.slip_ply());
    let answer = |row: usize, uci: &str| {
        let mut line = before.clone();
        line.play_written(uci).expect("a row of the table is a legal move");
        let replies = table(counts, line.end(), question)?;
        let left_worse = worse(counts, line.end(), &[])?;
        Ok(OtherAnswer { row, line, replies, left_worse })
    };
    others.map(|(row, found)| answer(row, &found.uci)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::answers::kit::ModelCounts;
    use crate::terms::Pace;

    fn material(counts: &ModelCounts) -> Material {
        let trap = Trap::from_text("1. e4 e5 2. Qh5 Nf6?? 3. Qxe5+").remove(0).expect("a trap");
        let question = Question { min_sample: 1, ..Question::default() };
        let Ok(material) = Material::of(counts, trap, &question, false);
        material
    }

    fn counts() -> ModelCounts {
        let mut counts = ModelCounts::new()
            .add(6, [1500, 1500], "1-0", "e4 e5 Qh5 Nf6 Qxe5")
            .add(3, [1500, 1500], "0-1", "e4 e5 Qh5 Nc6 Bc4")
            .add(2, [1500, 1500], "0-1", "e4 e5 Qh5 d6 Nf3")
            .add(1, [1500, 1500], "0-1", "e4 e5 Qh5 Nc6 Nf3");
        counts.game([1500, 1500], Pace::Rapid, "1-0", "e4 e5 Qh5 Nf6 d4");
        counts
    }

    #[test]
    fn other_answers_are_the_most_played_ones_without_the_slip() {
        let material = material(&counts());
        let san = |answer: &OtherAnswer| material.victims.moves[answer.row].san.clone();
        assert_eq!(material.answers.iter().map(san).collect::<Vec<_>>(), ["Nc6", "d6"]);
        let replies: Vec<_> = material.answers[0]
            .replies
            .moves
            .iter()
            .map(|row| (row.san.as_str(), row.games))
            .collect();
        assert_eq!(replies, [("Bc4", 3), ("Nf3", 1)]);
    }

    #[test]
    fn each_pace_is_judged_alone() {
        let material = material(&counts());
        let rates: Vec<_> = material
            .report
            .by_pace
            .iter()
            .filter(|part| part.figures.games > 0)
            .map(|part| (part.pace, part.figures.slip_rate.k, part.figures.slip_rate.n))
            .collect();
        assert_eq!(rates, [(Pace::Blitz, Some(6), 12), (Pace::Rapid, Some(1), 1)]);
    }

    #[test]
    fn a_trap_that_nobody_met_has_no_other_answers() {
        let material = material(&ModelCounts::new());
        assert!(material.answers.is_empty() && material.report.paces.is_empty());
    }
}
