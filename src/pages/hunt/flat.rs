//! Findings as a flat table.

use std::io::{self, Write};

use crate::answers::Figure;
use crate::answers::hunt::{
    Branch, Evaluations, Found, HuntAnswer, Lack, Miss, ReachKind, Verdict,
};
use crate::answers::trap::TrapReport;
use crate::pages::figures::Unit;
use crate::pages::output::{Columns, number};
use crate::pages::trap::named;

/// One row a slip, best finding first; further slips of a position follow under the same place with the figures that are
/// their own, the rest empty. Where nothing is found a row of scope `miss` for each move that comes near. Full precision, empty where
/// withheld.
pub fn csv<W: Write>(out: W, answer: &HuntAnswer) -> io::Result<()> {
    let found = answer.found.iter().enumerate().flat_map(|(index, found)| {
        let row = move |about| Row { place: index + 1, answer, about };
        let branches = found.branches.iter().map(move |branch| About::Branch(found, branch));
        std::iter::once(About::Found(found)).chain(branches).map(row)
    });
    let missed = answer.misses.iter().enumerate();
    let missed =
        missed.map(|(index, miss)| Row { place: index + 1, answer, about: About::Miss(miss) });
    columns().write(out, found.chain(missed))
}

/// A slip.
struct Row<'a> {
    place: usize,
    answer: &'a HuntAnswer,
    about: About<'a>,
}

/// What a row is about.
#[derive(Clone, Copy)]
enum About<'a> {
    Found(&'a Found),
    /// A further slip of the finding's position.
    Branch(&'a Found, &'a Branch),
    Miss(&'a Miss),
}

impl<'a> Row<'a> {
    /// Text of the finding, not of a further slip or a miss.
    fn found(&self, text: impl Fn(&Found) -> String) -> String {
        match self.about {
            About::Found(found) => text(found),
            _ => String::new(),
        }
    }

    /// What each has of its own.
    fn own<T>(
        &self,
        found: impl Fn(&'a Found) -> T,
        branch: impl Fn(&'a Branch) -> T,
        miss: impl Fn(&'a Miss) -> T,
    ) -> T {
        match self.about {
            About::Found(it) => found(it),
            About::Branch(_, it) => branch(it),
            About::Miss(it) => miss(it),
        }
    }

    /// The finding, also of a further slip.
    fn trap(&self) -> Option<&'a TrapReport> {
        match self.about {
            About::Found(found) | About::Branch(found, _) => Some(&found.trap),
            About::Miss(_) => None,
        }
    }

    fn evaluations(&self) -> Option<&'a Evaluations> {
        self.own(|found| Some(&found.evaluations), |branch| Some(&branch.evaluations), |_| None)
    }

    /// A figure of the table of traps.
    fn figure(&self, key: &str) -> Option<&'a Figure> {
        match (self.about, key) {
            (About::Found(found), _) => named(key).of(&found.trap.figures),
            (About::Branch(_, branch), "slip_rate") => Some(&branch.slip_rate),
            (About::Branch(_, branch), "edge_refuted") => Some(&branch.edge_refuted),
            _ => None,
        }
    }

    /// What a miss lacks: `certain; drop`.
    fn lacks(&self) -> String {
        match self.about {
            About::Miss(miss) => miss.lacks.iter().map(Lack::code).collect::<Vec<_>>().join("; "),
            _ => String::new(),
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
        .text("name", |row| row.trap().map_or(String::new(), |trap| trap.name.clone()))
        .text("scope", |row| row.own(|_| "trap", |_| "branch", |_| "miss").into())
        .text("line", |row| {
            row.own(|found| found.trap.line.clone(), |_| String::new(), |miss| miss.line.clone())
        })
        .text("trap_fen", |row| match row.about {
            About::Miss(miss) => miss.fen.clone(),
            _ => row.trap().map_or(String::new(), |trap| trap.trap_fen.clone()),
        })
        .text("slip", |row| {
            row.own(|found| &found.trap.slip, |branch| &branch.slip, |miss| &miss.slip).clone()
        })
        .text("refutation", |row| {
            let of = |san: &String| san.clone();
            row.own(
                |found| of(&found.trap.refutation),
                |branch| of(&branch.refutation),
                |_| String::new(),
            )
        })
        .text("eco", move |row: &Row<'_>| row.found(|found| text(&found.trap.eco)))
        .text("opening", move |row| row.found(|found| text(&found.trap.opening)))
        .text("tests", |row| row.answer.tests.to_string())
        .text("p", |row| {
            number(row.own(|found| Some(found.p), |branch| Some(branch.p), |miss| miss.p))
        })
        .text("q", |row| {
            number(row.own(|found| Some(found.q), |branch| Some(branch.q), |miss| miss.q))
        })
        .text("games", |row| {
            let games =
                row.own(|found| Some(found.trap.figures.games), |_| None, |miss| Some(miss.n));
            games.map_or(String::new(), |games| games.to_string())
        })
        .text("slip_games", |row| {
            let games = row.own(
                |found| found.trap.figures.slip_rate.k,
                |branch| branch.slip_rate.k,
                |miss| Some(miss.games),
            );
            games.map_or(String::new(), |games| games.to_string())
        })
        .text("reach_kind", |row| row.found(|found| kind(found.reach.kind).into()))
        .figure("reach", Unit::Share, |row| {
            row.own(|found| Some(&found.reach.rate), |_| None, |_| None)
        });
    let columns = of_trap(columns, &["slip_rate"]).figure("drop", Unit::Edge, |row| {
        Some(row.own(|found| &found.drop, |branch| &branch.drop, |miss| &miss.drop))
    });
    let columns = columns.text("interval_level", |row| number(row.answer.interval_level));
    let paid = ["find_rate", "edge_refuted", "edge_no_slip", "worth_per_1000", "net_per_1000"];
    of_trap(columns, &paid)
        .text("eval_slip_cp", |row| number(row.evaluations().and_then(|evals| evals.slip_cp)))
        .text("eval_slip_n", |row| evaluation(row, |evals| evals.slip_games.to_string()))
        .text("eval_others_cp", |row| number(row.evaluations().and_then(|evals| evals.others_cp)))
        .text("eval_others_n", |row| evaluation(row, |evals| evals.others_games.to_string()))
        .text("eval_verdict", |row| evaluation(row, |evals| verdict(evals.verdict).into()))
        .text("lacks", Row::lacks)
}

fn evaluation(row: &Row<'_>, text: impl Fn(&Evaluations) -> String) -> String {
    row.evaluations().map_or(String::new(), text)
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
