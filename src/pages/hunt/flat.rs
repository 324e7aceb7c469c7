//! Findings as a flat table.

use std::io::{self, Write};

use crate::answers::Figure;
use crate::answers::hunt::{Branch, Evaluations, Found, HuntAnswer, ReachKind, Verdict};
use crate::pages::figures::Unit;
use crate::pages::output::{Columns, number};
use crate::pages::trap::named;

/// One row a slip, best finding first; further slips of a position follow under the same place with the figures that are
/// their own, the rest empty. Full precision, empty where withheld.
pub fn csv<W: Write>(out: W, answer: &HuntAnswer) -> io::Result<()> {
    let rows = answer.found.iter().enumerate().flat_map(|(index, found)| {
        let row = move |branch| Row { place: index + 1, answer, found, branch };
        std::iter::once(row(None)).chain(found.branches.iter().map(move |b| row(Some(b))))
    });
    columns().write(out, rows)
}

/// A slip.
struct Row<'a> {
    place: usize,
    answer: &'a HuntAnswer,
    found: &'a Found,
    /// The further slip that the row is about.
    branch: Option<&'a Branch>,
}

impl<'a> Row<'a> {
    /// Text of the finding, not of a further slip.
    fn found(&self, text: impl Fn(&Found) -> String) -> String {
        if self.branch.is_none() { text(self.found) } else { String::new() }
    }

    /// What a further slip has of its own.
    fn own<T>(&self, found: impl Fn(&'a Found) -> T, branch: impl Fn(&'a Branch) -> T) -> T {
        self.branch.map_or_else(|| found(self.found), branch)
    }

    fn evaluations(&self) -> &'a Evaluations {
        self.own(|found| &found.evaluations, |branch| &branch.evaluations)
    }

    /// A figure of the table of traps.
    fn figure(&self, key: &str) -> Option<&'a Figure> {
        match (self.branch, key) {
            (None, _) => named(key).of(&self.found.trap.figures),
            (Some(branch), "slip_rate") => Some(&branch.slip_rate),
            (Some(branch), "edge_refuted") => Some(&branch.edge_refuted),
            (Some(_), _) => None,
        }
    }
}

fn columns<'a>() -> Columns<'static, Row<'a>> {
    let text = |text: &Option<String>| text.clone().unwrap_or_default();
    let of_trap = |columns: Columns<'static, Row<'a>>, keys: &[&'static str]| {
        keys.iter().fold(columns, |columns, &key| {
            columns.figure(key, named(key).unit, move |row| row.figure(key))
        })
    };
    let columns = Columns::new()
        .text("place", |row: &Row| row.place.to_string())
        .text("name", |row| row.found.trap.name.clone())
        .text("scope", |row| row.own(|_| "trap", |_| "branch").into())
        .text("line", |row| row.found(|found| found.trap.line.clone()))
        .text("trap_fen", |row| row.found.trap.trap_fen.clone())
        .text("slip", |row| row.own(|found| &found.trap.slip, |branch| &branch.slip).clone())
        .text("refutation", |row| {
            row.own(|found| &found.trap.refutation, |branch| &branch.refutation).clone()
        })
        .text("eco", move |row| row.found(|found| text(&found.trap.eco)))
        .text("opening", move |row| row.found(|found| text(&found.trap.opening)))
        .text("tests", |row| row.answer.tests.to_string())
        .text("p", |row| row.own(|found| found.p, |branch| branch.p).to_string())
        .text("q", |row| row.own(|found| found.q, |branch| branch.q).to_string())
        .text("games", |row| row.found(|found| found.trap.figures.games.to_string()))
        .text("reach_kind", |row| row.found(|found| kind(found.reach.kind).into()))
        .figure("reach", Unit::OneIn, |row| row.own(|found| Some(&found.reach.rate), |_| None));
    let columns = of_trap(columns, &["slip_rate"]).figure("drop", Unit::Edge, |row| {
        Some(row.own(|found| &found.drop, |branch| &branch.drop))
    });
    let columns = columns.text("interval_level", |row| number(row.answer.interval_level));
    let paid = ["find_rate", "edge_refuted", "edge_no_slip", "worth_per_1000", "net_per_1000"];
    of_trap(columns, &paid)
        .text("eval_slip_cp", |row| number(row.evaluations().slip_cp))
        .text("eval_slip_n", |row| row.evaluations().slip_games.to_string())
        .text("eval_others_cp", |row| number(row.evaluations().others_cp))
        .text("eval_others_n", |row| row.evaluations().others_games.to_string())
        .text("eval_verdict", |row| verdict(row.evaluations().verdict).into())
}

fn kind(kind: ReachKind) -> &'static str {
    match kind {
        ReachKind::Occurrence => "occurrence",
        ReachKind::Repertoire => "repertoire",
    }
}

fn verdict(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Agree => "agree",
        Verdict::Contradict => "contradict",
        Verdict::TooFew => "too_few",
    }
}
