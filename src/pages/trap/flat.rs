//! Traps as a flat table.

use std::io::{self, Write};

use crate::answers::trap::{Code, Figures, TrapAnswer, TrapReport};
use crate::pages::output::{Rows, mean, mean_head, rate, rate_head};

/// For each trap, in the order asked, a row of scope `all` over the whole filter and a row of scope
/// `band` for each band; full precision, empty where withheld. Verdict codes are joined by `;`.
pub fn csv<W: Write>(out: W, answer: &TrapAnswer) -> io::Result<()> {
    let mut rows = Rows::new(out, &head())?;
    let all = answer.filter.bands;
    for trap in &answer.traps {
        rows.row(&cells(trap, "all", (all.from, all.below), &trap.figures))?;
        for band in &trap.bands {
            rows.row(&cells(trap, "band", (band.from, band.below), &band.figures))?;
        }
    }
    rows.finish()
}

const TRAP: [&str; 11] = [
    "name",
    "setter",
    "scope",
    "from",
    "below",
    "line",
    "trap_fen",
    "bait",
    "slip",
    "refutation",
    "games",
];
const MEANS: [&str; 4] = ["score_after_slip", "edge_after_slip", "edge_refuted", "edge_no_slip"];
const SUMS: [&str; 4] = ["worth", "price", "net", "slips_per_1000"];

fn head() -> Vec<String> {
    let mut head: Vec<String> = TRAP.map(String::from).into();
    head.extend(["occurrence", "steered"].iter().flat_map(|name| rate_head(name)));
    head.extend(["steered_mixed", "steered_never"].map(String::from));
    head.extend(["slip_rate", "find_rate"].iter().flat_map(|name| rate_head(name)));
    head.extend(MEANS.iter().flat_map(|name| mean_head(name)));
    head.push("usual".into());
    head.extend(mean_head("edge_usual"));
    head.extend(SUMS.iter().flat_map(|name| mean_head(name)));
    head.push("ahead_games".into());
    head.extend(["ahead_expected", "at_least_one"].iter().flat_map(|name| mean_head(name)));
    head.push("verdict".into());
    head
}

fn cells(trap: &TrapReport, scope: &str, (from, below): (u16, u16), f: &Figures) -> Vec<String> {
    let mut cells = vec![
        trap.name.clone(),
        trap.setter.fold_wb("white", "black").into(),
        scope.into(),
        from.to_string(),
        below.to_string(),
        trap.line.clone(),
        trap.trap_fen.clone(),
        trap.bait.clone().unwrap_or_default(),
        trap.slip.clone(),
        trap.refutation.clone().unwrap_or_default(),
        f.games.to_string(),
    ];
    cells.extend([&f.occurrence, &f.steered.rate].into_iter().flat_map(rate));
    cells.extend([f.steered.mixed.to_string(), f.steered.never.clone().unwrap_or_default()]);
    cells.extend([&f.slip_rate, &f.find_rate].into_iter().flat_map(rate));
    let means = [&f.score_after_slip, &f.edge_after_slip, &f.edge_refuted, &f.edge_no_slip];
    cells.extend(means.into_iter().flat_map(mean));
    cells.push(f.usual.san.clone().unwrap_or_default());
    cells.extend(mean(&f.usual.edge));
    cells.extend([&f.worth, &f.price, &f.net, &f.slips_per_1000].into_iter().flat_map(mean));
    cells.push(f.ahead.games.to_string());
    cells.extend([&f.ahead.expected, &f.ahead.at_least_one].into_iter().flat_map(mean));
    let codes: Vec<&str> = f.verdict.codes.iter().map(|code| code_name(*code)).collect();
    cells.push(codes.join(";"));
    cells
}

/// The code as JSON has it.
fn code_name(code: Code) -> &'static str {
    match code {
        Code::Common => "common",
        Code::Occasional => "occasional",
        Code::Rare => "rare",
        Code::TooFewGames => "too_few_games",
    }
}
