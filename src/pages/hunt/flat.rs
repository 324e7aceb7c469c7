//! Findings as a flat table.

use std::io::{self, Write};

use crate::answers::hunt::{Found, HuntAnswer, ReachKind, Verdict};
use crate::pages::output::{Rows, mean, mean_head, number, rate, rate_head, withheld};

/// One row a slip, best finding first; further slips of a position follow under the same place with the figures that are
/// their own, the rest empty. Full precision, empty where withheld.
pub fn csv<W: Write>(out: W, answer: &HuntAnswer) -> io::Result<()> {
    let mut rows = Rows::new(out, &head())?;
    for (index, found) in answer.found.iter().enumerate() {
        let place = (index + 1).to_string();
        rows.row(&cells(&place, answer, found))?;
        for branch in &found.branches {
            let mut cells = vec![place.clone(), found.trap.name.clone(), "branch".into()];
            cells.extend([String::new(), found.trap.trap_fen.clone()]);
            cells.extend([branch.slip.clone(), branch.refutation.clone()]);
            cells.extend([String::new(), String::new(), answer.tests.to_string()]);
            cells.extend([branch.p.to_string(), branch.q.to_string()]);
            cells.extend(vec![String::new(); 2 + 5]);
            cells.extend(rate(&branch.slip_rate));
            cells.extend(mean(&branch.drop));
            cells.extend(vec![String::new(); 5]);
            cells.extend(mean(&branch.edge_refuted));
            cells.extend(vec![String::new(); 3 * 4]);
            let e = &branch.evaluations;
            cells.extend([number(e.slip_cp), e.slip_games.to_string()]);
            cells.extend([number(e.others_cp), e.others_games.to_string()]);
            cells.push(verdict(e.verdict).into());
            cells.push(withheld([
                ("slip_rate", branch.slip_rate.withheld.as_ref()),
                ("drop", branch.drop.withheld.as_ref()),
                ("edge_refuted", branch.edge_refuted.withheld.as_ref()),
            ]));
            rows.row(&cells)?;
        }
    }
    rows.finish()
}

fn head() -> Vec<String> {
    let mut head: Vec<String> = [
        "place",
        "name",
        "scope",
        "line",
        "trap_fen",
        "slip",
        "refutation",
        "eco",
        "opening",
        "tests",
        "p",
        "q",
    ]
    .map(String::from)
    .into();
    head.extend(["games", "reach_kind"].map(String::from));
    head.extend(rate_head("reach"));
    head.extend(rate_head("slip_rate"));
    head.extend(mean_head("drop"));
    head.extend(rate_head("find_rate"));
    head.extend(
        ["edge_refuted", "edge_no_slip", "worth", "net"].iter().flat_map(|name| mean_head(name)),
    );
    head.extend(
        ["eval_slip_cp", "eval_slip_n", "eval_others_cp", "eval_others_n", "eval_verdict"]
            .map(String::from),
    );
    head.push("withheld".into());
    head
}

fn cells(place: &str, answer: &HuntAnswer, found: &Found) -> Vec<String> {
    let (trap, f) = (&found.trap, &found.trap.figures);
    let mut cells = vec![
        place.to_owned(),
        trap.name.clone(),
        "trap".into(),
        trap.line.clone(),
        trap.trap_fen.clone(),
        trap.slip.clone(),
        trap.refutation.clone().unwrap_or_default(),
        trap.eco.clone().unwrap_or_default(),
        trap.opening.clone().unwrap_or_default(),
        answer.tests.to_string(),
        found.p.to_string(),
        found.q.to_string(),
        f.games.to_string(),
    ];
    cells.push(match found.reach.kind {
        ReachKind::Occurrence => "occurrence".into(),
        ReachKind::Repertoire => "repertoire".into(),
    });
    cells.extend(rate(&found.reach.rate));
    cells.extend(rate(&f.slip_rate));
    cells.extend(mean(&found.drop));
    cells.extend(rate(&f.find_rate));
    let means = [&f.edge_refuted, &f.edge_no_slip, &f.worth, &f.net];
    cells.extend(means.into_iter().flat_map(mean));
    let e = &found.evaluations;
    cells.extend([number(e.slip_cp), e.slip_games.to_string()]);
    cells.extend([number(e.others_cp), e.others_games.to_string(), verdict(e.verdict).into()]);
    cells.push(withheld([
        ("reach", found.reach.rate.withheld.as_ref()),
        ("slip_rate", f.slip_rate.withheld.as_ref()),
        ("drop", found.drop.withheld.as_ref()),
        ("find_rate", f.find_rate.withheld.as_ref()),
        ("edge_refuted", f.edge_refuted.withheld.as_ref()),
        ("edge_no_slip", f.edge_no_slip.withheld.as_ref()),
        ("worth", f.worth.withheld.as_ref()),
        ("net", f.net.withheld.as_ref()),
    ]));
    cells
}

fn verdict(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Agree => "agree",
        Verdict::Contradict => "contradict",
        Verdict::TooFew => "too_few",
    }
}
