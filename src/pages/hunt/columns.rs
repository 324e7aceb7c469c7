//! What is said of every slip that is found, in one table for the pages and for CSV.

use std::io::{self, Write};

use crate::answers::hunt::{Branch, Evaluations, Found, HuntAnswer, ReachKind, Verdict};
use crate::pages::columns::{self, Column, mean, plain, rate};
use crate::pages::figures::{Shown, Unit};
use crate::pages::output::number;

/// A slip: that of a finding, or a further one of the same position.
pub(super) struct Row<'a> {
    pub answer: &'a HuntAnswer,
    pub found: &'a Found,
    /// Where the finding stands, from 1.
    pub place: usize,
    pub branch: Option<&'a Branch>,
}

/// One row a slip, best finding first; further slips of a position follow under the same place with the figures that are
/// their own, the rest empty. Full precision, empty where withheld.
pub fn csv<W: Write>(out: W, answer: &HuntAnswer) -> io::Result<()> {
    let rows = answer.found.iter().zip(1..).flat_map(|(found, place)| {
        let branches = found.branches.iter().map(Some);
        let slips = std::iter::once(None).chain(branches);
        slips.map(move |branch| Row { answer, found, place, branch })
    });
    columns::csv(out, &columns(), rows)
}

/// The columns, in order.
pub(super) fn columns<'a>() -> [Column<Row<'a>>; 27] {
    [
        plain("place", |row| row.place.to_string()),
        plain("name", |row| row.found.trap.name.clone()),
        plain("scope", |row| row.branch.map_or("trap", |_| "branch").to_owned()),
        plain("line", |row| row.of_trap(|found| found.trap.line.clone())),
        plain("trap_fen", |row| row.found.trap.trap_fen.clone()),
        plain("slip", |row| row.branch.map_or(&row.found.trap.slip, |branch| &branch.slip).clone()),
        plain("refutation", |row| match row.branch {
            Some(branch) => branch.refutation.clone(),
            None => row.found.trap.refutation.clone().unwrap_or_default(),
        }),
        plain("eco", |row| row.of_trap(|found| found.trap.eco.clone().unwrap_or_default())),
        plain("opening", |row| row.of_trap(|found| found.trap.opening.clone().unwrap_or_default())),
        plain("tests", |row| row.answer.tests.to_string()),
        plain("p", |row| row.branch.map_or(row.found.p, |branch| branch.p).to_string()),
        plain("q", |row| row.branch.map_or(row.found.q, |branch| branch.q).to_string()),
        plain("games", |row| row.of_trap(|found| found.trap.figures.games.to_string())),
        plain("reach_kind", |row| {
            row.of_trap(|found| match found.reach.kind {
                ReachKind::Occurrence => "occurrence".to_owned(),
                ReachKind::Repertoire => "repertoire".to_owned(),
            })
        }),
        rate("reach", "reach", Unit::OneIn, |row| row.shown(|found| &found.reach.rate, |_| None)),
        rate("slip_rate", "slip rate", Unit::Percent, |row| {
            row.shown(|found| &found.trap.figures.slip_rate, |branch| Some(&branch.slip_rate))
        }),
        mean("drop", "drop", Unit::Edge, |row| {
            row.shown(|found| &found.drop, |branch| Some(&branch.drop))
        }),
        rate("find_rate", "find rate", Unit::Percent, |row| {
            row.shown(|found| &found.trap.figures.find_rate, |_| None)
        }),
        mean("edge_refuted", "edge refuted", Unit::Edge, |row| {
            row.shown(|found| &found.trap.figures.edge_refuted, |branch| Some(&branch.edge_refuted))
        }),
        mean("edge_no_slip", "edge without slip", Unit::Edge, |row| {
            row.shown(|found| &found.trap.figures.edge_no_slip, |_| None)
        }),
        mean("worth", "worth", Unit::Points, |row| {
            row.shown(|found| &found.trap.figures.worth, |_| None)
        }),
        mean("net", "net", Unit::Points, |row| {
            row.shown(|found| &found.trap.figures.net, |_| None)
        }),
        plain("eval_slip_cp", |row| number(row.evaluations().slip_cp)),
        plain("eval_slip_n", |row| row.evaluations().slip_games.to_string()),
        plain("eval_others_cp", |row| number(row.evaluations().others_cp)),
        plain("eval_others_n", |row| row.evaluations().others_games.to_string()),
        plain("eval_verdict", |row| match row.evaluations().verdict {
            Verdict::Agree => "agree".to_owned(),
            Verdict::Contradict => "contradict".to_owned(),
            Verdict::TooFew => "too_few".to_owned(),
        }),
    ]
}

impl<'a> Row<'a> {
    /// A text of the finding; further slips leave it empty.
    fn of_trap(&self, text: impl FnOnce(&Found) -> String) -> String {
        self.branch.map_or_else(|| text(self.found), |_| String::new())
    }

    /// A figure of the finding or of the further slip.
    fn shown<F: 'a>(
        &self,
        of_found: impl FnOnce(&'a Found) -> &'a F,
        of_branch: impl FnOnce(&'a Branch) -> Option<&'a F>,
    ) -> Option<Shown<'a>>
    where
        Shown<'a>: From<&'a F>,
    {
        let figure = self.branch.map_or_else(|| Some(of_found(self.found)), of_branch);
        figure.map(Shown::from)
    }

    fn evaluations(&self) -> &'a Evaluations {
        self.branch.map_or(&self.found.evaluations, |branch| &branch.evaluations)
    }
}
