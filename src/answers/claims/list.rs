//! A list of claims, judged one by one.

#![expect(missing_docs, reason = "`help formats` explains the fields of answers")]

use serde::Serialize;

use super::evaluate::{ClaimAnswer, evaluate};
use super::rules::Answer;
use crate::answers::Question;
use crate::answers::moves::{MoveTable, table};
use crate::counts::{Counts, Lacking, Limits};
use crate::lines::{ClaimList, Line};
use crate::terms::MoverFilter;

/// The answer to a list of claims.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ClaimReport {
    pub filter: MoverFilter,
    /// A claim that rests on fewer games of different players is undecided.
    pub min_sample: u64,
    /// How far from its number a value may be that is "about" it, a fraction.
    pub about: f64,
    pub hold: usize,
    pub fail: usize,
    pub undecided: usize,
    pub claims: Vec<ListedClaim>,
    /// How far the counts reach.
    #[serde(skip)]
    pub limits: Limits,
}

#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ListedClaim {
    pub number: usize,
    /// The moves that lead to the position; empty for the start.
    pub line: String,
    pub games: u64,
    pub n_eff: f64,
    pub may_lack: Lacking,
    /// The claim and what the counts say to it.
    #[serde(flatten)]
    pub answer: ClaimAnswer,
}

impl ListedClaim {
    /// A claim about the position of the table, to which that line leads.
    pub fn of(table: &MoveTable, number: usize, line: &Line, answer: ClaimAnswer) -> ListedClaim {
        ListedClaim {
            number,
            line: line.to_string(),
            games: table.games,
            n_eff: table.effective_games(),
            may_lack: table.position.may_lack,
            answer,
        }
    }
}

/// Judges every claim of a list; for `about` see [`evaluate`].
pub fn evaluate_list<C: Counts>(
    counts: &C,
    list: &ClaimList,
    question: &Question,
    about: f64,
) -> Result<ClaimReport, C::Error> {
    let mut claims = Vec::new();
    for listed in list.listed() {
        let position = listed.line.end();
        let table = table(counts, position, question)?;
        claims.extend(listed.claims.iter().map(|claim| {
            let answer = evaluate(&table, position, claim, about);
            ListedClaim::of(&table, listed.number, &listed.line, answer)
        }));
    }
    let count = |wanted| claims.iter().filter(|claim| claim.answer.answer == wanted).count();
    Ok(ClaimReport {
        filter: question.filter,
        min_sample: question.min_sample,
        about,
        hold: count(Answer::Holds),
        fail: count(Answer::Fails),
        undecided: count(Answer::Undecided),
        claims,
        limits: counts.limits().clone(),
    })
}

#[cfg(test)]
mod tests {
    use super::super::ABOUT;
    use super::*;
    use crate::answers::kit::ModelCounts;

    #[test]
    fn every_claim_is_answered_at_its_position() {
        let even = [1500, 1500];
        let counts = ModelCounts::new()
            .add(60, even, "1-0", "e4 e5")
            .add(30, even, "0-1", "e4 c5")
            .add(10, even, "0-1", "d4 d5");
        let list = "start: e4 first; d4 first\n1. e4: e5 >= 70%\nd4: d5 first\n";
        let list = ClaimList::read(list).expect("a list");
        let Ok(report) = evaluate_list(&counts, &list, &Question::default(), ABOUT);
        let answers: Vec<_> = report
            .claims
            .iter()
            .map(|claim| (claim.number, claim.games, claim.answer.answer))
            .collect();
        use Answer::{Fails, Holds, Undecided};
        let want = [(1, 100, Holds), (1, 100, Fails), (2, 90, Undecided), (3, 10, Undecided)];
        assert_eq!(answers, want);
        assert_eq!((report.hold, report.fail, report.undecided), (1, 1, 2));
    }
}
