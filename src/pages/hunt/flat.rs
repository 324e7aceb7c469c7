//! Findings as a flat table.

use std::io::{self, Write};

use serde_json::{Value, json};

use crate::answers::Figure;
use crate::answers::hunt::{Branch, Found, HuntAnswer};
use crate::pages::figures::Unit;
use crate::pages::output::{Columns, merged};
use crate::pages::trap::named;

/// One row a slip, best finding first; further slips of a position follow under the same place with
/// the figures that are their own, the rest empty. Where nothing is found a row of scope `miss` for
/// each move that comes near. Full precision, empty where withheld.
pub fn csv<W: Write>(out: W, answer: &HuntAnswer) -> io::Result<()> {
    let mut rows = Vec::new();
    let mut add = |scope: &str, place: usize, entry: Value, drop, about| {
        let head = json!({
            "scope": scope, "place": place + 1, "tests": answer.tests, "interval_level": answer.interval_level,
        });
        rows.push((merged(entry, head), Row { drop, about }));
    };
    for (place, found) in answer.found.iter().enumerate() {
        let told = merged(found, json!({"slip_games": found.trap.figures.slip_rate.k}));
        let [name, fen] = ["name", "trap_fen"].map(|field| told[field].clone());
        add("trap", place, told, &found.drop, About::Found(found));
        for branch in &found.branches {
            let of_trap = json!({"name": name, "trap_fen": fen, "slip_games": branch.slip_rate.k});
            add("branch", place, merged(branch, of_trap), &branch.drop, About::Branch(branch));
        }
    }
    for (place, miss) in answer.misses.iter().enumerate() {
        let told = json!(miss);
        let lacks = told["lacks"].as_array().into_iter().flatten();
        let lacks: Vec<&str> = lacks.filter_map(|lack| lack["code"].as_str()).collect();
        let games = json!({"games": miss.n, "slip_games": miss.games, "lacks": lacks.join("; ")});
        add("miss", place, merged(miss, games), &miss.drop, About::Miss);
    }
    columns().write(out, rows)
}

/// A slip.
struct Row<'a> {
    drop: &'a Figure,
    about: About<'a>,
}

/// What has its other figures.
#[derive(Clone, Copy)]
enum About<'a> {
    Found(&'a Found),
    /// A further slip of the finding's position.
    Branch(&'a Branch),
    Miss,
}

impl<'a> Row<'a> {
    /// A figure of the table of traps.
    fn figure(&self, key: &str) -> Option<&'a Figure> {
        match (self.about, key) {
            (About::Found(found), _) => named(key).of(&found.trap.figures),
            (About::Branch(branch), "slip_rate") => Some(&branch.slip_rate),
            (About::Branch(branch), "edge_refuted") => Some(&branch.edge_refuted),
            _ => None,
        }
    }
}

fn columns<'a>() -> Columns<'a, Row<'a>> {
    let of_trap = |columns: Columns<'a, Row<'a>>, keys: &[&'static str]| {
        keys.iter().fold(columns, |columns, &key| {
            columns.figure(key, named(key).unit, move |row| row.figure(key))
        })
    };
    let columns = Columns::new()
        .said(&["place", "name", "scope", "line"])
        .said_at("trap_fen", &["/trap_fen", "/fen"])
        .said(&["slip", "refutation", "eco", "opening", "tests", "p", "q", "games", "slip_games"])
        .said(&["to_lay"])
        .said_at("reach_kind", &["/reach/kind"])
        .figure("reach", Unit::Share, |row: &Row<'a>| match row.about {
            About::Found(found) => Some(&found.reach.rate),
            _ => None,
        });
    let columns = of_trap(columns, &["slip_rate"])
        .figure("drop", Unit::Edge, |row| Some(row.drop))
        .said(&["interval_level"]);
    let paid = ["find_rate", "edge_refuted", "edge_no_slip", "worth_per_1000", "net_per_1000"];
    of_trap(columns, &paid)
        .said_at("eval_slip_cp", &["/evaluations/slip_cp"])
        .said_at("eval_slip_n", &["/evaluations/slip_games"])
        .said_at("eval_others_cp", &["/evaluations/others_cp"])
        .said_at("eval_others_n", &["/evaluations/others_games"])
        .said_at("eval_verdict", &["/evaluations/verdict"])
        .said(&["lacks"])
}
