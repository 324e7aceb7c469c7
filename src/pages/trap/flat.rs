//! Traps as a flat table.

use std::io::{self, Write};

use serde_json::{Value, json};

use super::soundness::because;
use super::table::TABLE;
use crate::answers::Figure;
use crate::answers::trap::{EarlierChoice, Figures, SlipBelow, TrapAnswer, TrapReport};
use crate::pages::figures::Unit;
use crate::pages::output::{Columns, code, merged};
use crate::terms::BandRange;

/// For each trap, in the order of the answer, a row of scope `all` over the whole filter, a row
/// of scope `band` for each band and, if asked, one of scope `pace` for each pace; then, for
/// plotting, rows of the scopes `curve_slip_rate`, `curve_find_rate` and `curve_edge_after_slip`
/// that fill only the columns of that figure, `joined` telling whether neighbouring bands were
/// joined; one of scope `earlier_choice` for each choice of the setter before the bait, the move
/// in `earlier_move`, what is usual there in `usual` and `edge_usual`, its edge and the
/// difference in `edge_earlier` and `edge_earlier_difference`; last, if asked, one of scope
/// `slip_below` with the rating in `slip_below`, `slip_below_low` and `slip_below_high` (empty:
/// not reached). Full precision, empty where withheld, and then the last column says why. Verdict
/// codes are joined by `;`.
pub fn csv<W: Write>(out: W, answer: &TrapAnswer) -> io::Result<()> {
    let bands = answer.filter.bands;
    columns().write(out, answer.traps.iter().flat_map(|trap| rows(trap, bands)))
}

/// What has the figures of a row.
enum Row<'a> {
    /// Everything about the trap.
    Whole(&'a TrapReport),
    Part(&'a Figures),
    /// One figure, by its column.
    One(&'static str, &'a Figure),
    Below(&'a SlipBelow),
    Earlier(&'a EarlierChoice),
}

fn rows<'t>(trap: &'t TrapReport, bands: BandRange) -> Vec<(Value, Row<'t>)> {
    let BandRange { from, below } = bands;
    let told = json!(trap);
    let fields = |names: &[&str]| -> Value {
        names.iter().map(|&name| (name.to_owned(), told[name].clone())).collect()
    };
    let mut rows = Vec::new();
    let mut add = |scope: &str, entry: Value, row| {
        let place = merged(json!({"from": from, "below": below}), fields(&["name", "setter"]));
        rows.push((merged(place, merged(entry, json!({"scope": scope}))), row));
    };
    let line = fields(&["line", "trap_fen", "bait", "slip", "refutation"]);
    add("all", merged(&told, whole(trap)), Row::Whole(trap));
    let mut part = |scope: &str, entry: Value, figures: &'t Figures| {
        let verdict = json!({"verdict": codes(&figures.verdict.codes)});
        add(scope, merged(entry, merged(&line, verdict)), Row::Part(figures));
    };
    trap.bands.iter().for_each(|band| part("band", json!(band), &band.figures));
    trap.by_pace.iter().for_each(|row| part("pace", json!(row), &row.figures));
    let curves = [
        ("curve_slip_rate", "slip_rate", &trap.curve.slip_rate),
        ("curve_find_rate", "find_rate", &trap.curve.find_rate),
        ("curve_edge_after_slip", "edge_after_slip", &trap.curve.edge_after_slip),
    ];
    for (scope, column, stretches) in curves {
        stretches.iter().for_each(|of| add(scope, json!(of), Row::One(column, &of.figure)));
    }
    for choice in &trap.earlier_choices {
        add("earlier_choice", json!(choice), Row::Earlier(choice));
    }
    if let Some(fall) = &trap.curve.slip_below {
        add("slip_below", json!({"fall": fall, "joined": true}), Row::Below(fall));
    }
    rows
}

/// What the row of the whole trap says otherwise than JSON: lists are joined.
fn whole(trap: &TrapReport) -> Value {
    let reasons = || trap.advice.reasons.iter();
    let several = trap.slips.iter().flat_map(|slips| &slips.moves);
    let mut slips: Vec<String> = several.map(|slip| slip.san.clone()).collect();
    let several = trap.refutations.iter().flat_map(|refutations| &refutations.moves);
    // Each behind its slip: `fxe5 Qh5+`.
    let mut refutations: Vec<String> =
        several.map(|mv| format!("{} {}", mv.after, mv.san)).collect();
    if slips.is_empty() {
        slips.push(trap.slip.clone());
    }
    if refutations.is_empty() {
        refutations.push(format!("{} {}", trap.slip, trap.refutation));
    }
    json!({
        "slips": slips.join(";"),
        "refutations": refutations.join(";"),
        "advice": codes(&trap.advice.codes),
        "advice_reasons": codes(&reasons().map(|reason| reason.code).collect::<Vec<_>>()),
        "games_to_decide": reasons().find_map(|reason| reason.games_to_decide),
        "verdict": codes(&trap.figures.verdict.codes),
        "soundness_because": because(&trap.soundness),
    })
}

fn codes(codes: &[impl serde::Serialize]) -> String {
    codes.iter().map(code).collect::<Vec<_>>().join(";")
}

impl<'a> Row<'a> {
    fn figure(&self, key: &str) -> Option<&'a Figure> {
        let figure = TABLE.iter().find(|figure| figure.key == key)?;
        match *self {
            Row::Whole(trap) => Some(figure.of_trap(trap)),
            Row::Part(figures) => figure.of(figures),
            Row::One(column, one) => (key == column).then_some(one),
            Row::Earlier(choice) => (key == "edge_usual").then_some(&choice.usual.edge),
            Row::Below(_) => None,
        }
    }

    fn earlier(&self) -> Option<&'a EarlierChoice> {
        if let Row::Earlier(choice) = self { Some(choice) } else { None }
    }
}

fn columns<'a>() -> Columns<'static, Row<'a>> {
    let of_trap = ["name", "setter", "scope", "from", "below", "line", "trap_fen", "bait", "slip"];
    let mut columns = Columns::new()
        .said(&of_trap)
        .said(&["refutation", "slips", "refutations", "advice", "advice_reasons"])
        .said(&["games_to_decide", "games"]);
    let (each, of_trap): (Vec<_>, Vec<_>) = TABLE.iter().partition(|figure| figure.is_of_filter());
    for figure in each {
        columns = match figure.key {
            "edge_usual" => columns.said_at("usual", &["/usual/san"]),
            "ahead_expected" => columns.said_at("ahead_games", &["/ahead/games"]),
            _ => columns,
        };
        columns = columns.figure(figure.key, figure.unit, |row: &Row<'a>| row.figure(figure.key));
        columns = match figure.key {
            "ahead_expected" => columns
                .said_at("ahead_range_low", &["/ahead/range/low"])
                .said_at("ahead_range_high", &["/ahead/range/high"]),
            "steered" => columns
                .said_at("steered_rarest", &["/steered/rarest"])
                .said_at("steered_mixed", &["/steered/mixed"])
                .said_at("steered_never", &["/steered/never"]),
            _ => columns,
        };
    }
    columns = columns.said(&["verdict", "pace", "joined"]);
    for figure in of_trap {
        columns = columns.figure(figure.key, figure.unit, |row: &Row<'a>| row.figure(figure.key));
    }
    columns
        .said_at("slip_below", &["/fall/value"])
        .said_at("slip_below_low", &["/fall/low"])
        .said_at("slip_below_high", &["/fall/high"])
        .said_at("slip_below_n", &["/fall/n"])
        .said_at("slip_below_n_eff", &["/fall/n_eff"])
        .reason("slip_below", |row| match row {
            Row::Below(fall) => fall.withheld.as_ref(),
            _ => None,
        })
        .said_at("earlier_move", &["/san"])
        .figure("edge_earlier", Unit::Edge, |row| Some(&row.earlier()?.edge))
        .figure("edge_earlier_difference", Unit::Edge, |row| Some(&row.earlier()?.difference))
        .said_at("soundness", &["/soundness/verdict"])
        .said_at("soundness_slip_loses_cp", &["/soundness/slip_loses/cp"])
        .said_at("soundness_without_slip_cp", &["/soundness/without_slip/cp"])
        .said(&["soundness_because"])
}
