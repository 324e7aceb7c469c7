//! Traps as a flat table.

use std::io::{self, Write};

use crate::answers::Withheld;
use crate::answers::trap::{Code, Figures, TrapAnswer, TrapReport};
use crate::pages::output::{Rows, mean, mean_head, rate, rate_head, withheld};
use crate::terms::BandRange;

/// For each trap, in the order asked, a row of scope `all` over the whole filter, a row of scope
/// `band` for each band and, if asked, one of scope `pace` for each pace; then, for plotting, rows of the scopes
/// `curve_slip_rate`, `curve_find_rate` and `curve_edge_after_slip` that fill only the columns of that figure,
/// `joined` telling whether neighbouring bands were joined; last, if asked, one of scope `slip_below` with the
/// rating in `slip_below`, `slip_below_low` and `slip_below_high` (empty: not reached). Full precision, empty where
/// withheld, and then the last column says why. Verdict codes are joined by `;`.
pub fn csv<W: Write>(out: W, answer: &TrapAnswer) -> io::Result<()> {
    let mut rows = Rows::new(out, &head())?;
    let all = answer.filter.bands;
    for trap in &answer.traps {
        rows.row(&whole(trap, cells(trap, "all", (all.from, all.below), &trap.figures)))?;
        for band in &trap.bands {
            let cells = cells(trap, "band", (band.from, band.below), &band.figures);
            rows.row(&part(cells, &band.figures))?;
        }
        for row in &trap.by_pace {
            let cells = cells(trap, "pace", (all.from, all.below), &row.figures);
            let mut cells = part(cells, &row.figures);
            cells[place("pace")] = row.pace.to_string();
            rows.row(&cells)?;
        }
        curve(trap, all, &mut rows)?;
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
    head.extend(["pace", "joined"].map(String::from));
    head.extend(rate_head("steered_any_order"));
    head.extend(["slip_s", "others_s", "difference_s"].iter().flat_map(|name| mean_head(name)));
    head.extend(
        ["slip_below", "slip_below_low", "slip_below_high", "slip_below_n"].map(String::from),
    );
    head.extend(["soundness", "soundness_because", "withheld"].map(String::from));
    head
}

fn place(column: &str) -> usize {
    head().iter().position(|name| name == column).expect("only columns of the head are filled")
}

/// The same row with the columns empty that hold for the whole trap alone.
fn padded(mut cells: Vec<String>) -> Vec<String> {
    cells.resize(head().len(), String::new());
    cells
}

/// A row of a band or a pace.
fn part(cells: Vec<String>, figures: &Figures) -> Vec<String> {
    let mut cells = padded(cells);
    cells[place("withheld")] = withheld(reasons(figures));
    cells
}

/// Each figure's column and why it is withheld.
fn reasons(f: &Figures) -> Vec<(&'static str, Option<&Withheld>)> {
    let rates = [
        ("occurrence", &f.occurrence),
        ("steered", &f.steered.rate),
        ("slip_rate", &f.slip_rate),
        ("find_rate", &f.find_rate),
    ];
    let means = [
        ("score_after_slip", &f.score_after_slip),
        ("edge_after_slip", &f.edge_after_slip),
        ("edge_refuted", &f.edge_refuted),
        ("edge_no_slip", &f.edge_no_slip),
        ("edge_usual", &f.usual.edge),
        ("worth", &f.worth),
        ("price", &f.price),
        ("net", &f.net),
        ("slips_per_1000", &f.slips_per_1000),
        ("ahead_expected", &f.ahead.expected),
        ("at_least_one", &f.ahead.at_least_one),
    ];
    let rates = rates.into_iter().map(|(name, rate)| (name, rate.withheld.as_ref()));
    rates.chain(means.into_iter().map(|(name, mean)| (name, mean.withheld.as_ref()))).collect()
}

fn whole(trap: &TrapReport, cells: Vec<String>) -> Vec<String> {
    let mut cells = padded(cells);
    let mut fill = |column: &str, values: &[String]| {
        cells[place(column)..][..values.len()].clone_from_slice(values);
    };
    let (any_order, time) = (&trap.steered_any_order, &trap.time);
    fill("steered_any_order", &rate(any_order));
    fill("slip_s", &mean(&time.slip_s));
    fill("others_s", &mean(&time.others_s));
    fill("difference_s", &mean(&time.difference_s));
    fill("soundness", &[trap.soundness.verdict.name().to_owned()]);
    fill("soundness_because", std::slice::from_ref(&trap.soundness.because));
    let mut reasons = reasons(&trap.figures);
    reasons.extend([
        ("steered_any_order", any_order.withheld.as_ref()),
        ("slip_s", time.slip_s.withheld.as_ref()),
        ("others_s", time.others_s.withheld.as_ref()),
        ("difference_s", time.difference_s.withheld.as_ref()),
    ]);
    fill("withheld", &[withheld(reasons)]);
    cells
}

fn curve<W: Write>(trap: &TrapReport, bands: BandRange, rows: &mut Rows<W>) -> io::Result<()> {
    type Why<'a> = Option<&'a Withheld>;
    let mut row = |scope: &str,
                   range: [u16; 2],
                   joined: bool,
                   (column, why): (&str, Why),
                   values: &[String]| {
        let mut cells = padded(vec![trap.name.clone()]);
        cells[place("setter")] = trap.setter.fold_wb("white", "black").into();
        cells[place("scope")] = scope.into();
        cells[place("from")] = range[0].to_string();
        cells[place("below")] = range[1].to_string();
        cells[place("joined")] = joined.to_string();
        cells[place(column)..][..values.len()].clone_from_slice(values);
        cells[place("withheld")] = withheld([(column, why)]);
        rows.row(&cells)
    };
    for part in &trap.curve.slip_rate {
        let range = [part.from, part.below];
        row(
            "curve_slip_rate",
            range,
            part.joined,
            ("slip_rate", part.figure.withheld.as_ref()),
            &rate(&part.figure),
        )?;
    }
    for part in &trap.curve.find_rate {
        let range = [part.from, part.below];
        row(
            "curve_find_rate",
            range,
            part.joined,
            ("find_rate", part.figure.withheld.as_ref()),
            &rate(&part.figure),
        )?;
    }
    for part in &trap.curve.edge_after_slip {
        let range = [part.from, part.below];
        row(
            "curve_edge_after_slip",
            range,
            part.joined,
            ("edge_after_slip", part.figure.withheld.as_ref()),
            &mean(&part.figure),
        )?;
    }
    if let Some(below) = &trap.curve.slip_below {
        let text = |rating: Option<u16>| rating.map_or(String::new(), |r| r.to_string());
        let [value, low, high] = [below.value, below.low, below.high].map(text);
        let values = [value, low, high, below.n.to_string()];
        let column = ("slip_below", below.withheld.as_ref());
        row("slip_below", [bands.from, bands.below], true, column, &values)?;
    }
    Ok(())
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
