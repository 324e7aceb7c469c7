//! Traps as a flat table.

use std::io::{self, Write};

use super::soundness::because;
use super::table::TABLE;
use crate::answers::Figure;
use crate::answers::trap::{
    Advice, EarlierChoice, Figures, NextSlips, SlipBelow, TrapAnswer, TrapReport, Usual,
};
use crate::pages::figures::Unit;
use crate::pages::output::{Columns, code, number};
use crate::terms::{BandRange, Pace};

/// For each trap, in the order of the answer, a row of scope `all` over the whole filter, a row of scope
/// `band` for each band and, if asked, one of scope `pace` for each pace; then, for plotting, rows of the scopes
/// `curve_slip_rate`, `curve_find_rate` and `curve_edge_after_slip` that fill only the columns of that figure,
/// `joined` telling whether neighbouring bands were joined; one of scope `earlier_choice` for each choice of the setter before the bait,
/// the move in `earlier_move`, what is usual there in `usual` and `edge_usual`, its edge and the difference in `edge_earlier` and
/// `edge_earlier_difference`; last, if asked, one of scope `slip_below` with the
/// rating in `slip_below`, `slip_below_low` and `slip_below_high` (empty: not reached). Full precision, empty where
/// withheld, and then the last column says why. Verdict codes are joined by `;`.
pub fn csv<W: Write>(out: W, answer: &TrapAnswer) -> io::Result<()> {
    let bands = answer.filter.bands;
    columns().write(out, answer.traps.iter().flat_map(|trap| rows(trap, bands)))
}

/// One row.
struct Row<'a> {
    trap: &'a TrapReport,
    scope: &'static str,
    from: u16,
    below: u16,
    figures: What<'a>,
    pace: Option<Pace>,
    joined: Option<bool>,
}

/// What a row fills.
enum What<'a> {
    /// Everything about the trap.
    Whole,
    /// The figures of a part.
    Part(&'a Figures),
    /// One figure, by its column.
    One(&'static str, &'a Figure),
    Below(&'a SlipBelow),
    Earlier(&'a EarlierChoice),
}

fn rows(trap: &TrapReport, bands: BandRange) -> Vec<Row<'_>> {
    let BandRange { from, below } = bands;
    let whole =
        Row { trap, scope: "all", from, below, figures: What::Whole, pace: None, joined: None };
    let mut rows = vec![Row { ..whole }];
    for band in &trap.bands {
        let figures = What::Part(&band.figures);
        let (from, below) = (band.from, band.below);
        rows.push(Row { scope: "band", from, below, figures, ..whole });
    }
    for part in &trap.by_pace {
        let (figures, pace) = (What::Part(&part.figures), Some(part.pace));
        rows.push(Row { scope: "pace", figures, pace, ..whole });
    }
    let curves = [
        ("curve_slip_rate", "slip_rate", &trap.curve.slip_rate),
        ("curve_find_rate", "find_rate", &trap.curve.find_rate),
        ("curve_edge_after_slip", "edge_after_slip", &trap.curve.edge_after_slip),
    ];
    for (scope, column, stretches) in curves {
        for part in stretches {
            let (figures, joined) = (What::One(column, &part.figure), Some(part.joined));
            rows.push(Row { scope, from: part.from, below: part.below, figures, joined, ..whole });
        }
    }
    for choice in &trap.earlier_choices {
        let figures = What::Earlier(choice);
        rows.push(Row { scope: "earlier_choice", figures, ..whole });
    }
    if let Some(below) = &trap.curve.slip_below {
        let (figures, joined) = (What::Below(below), Some(true));
        rows.push(Row { scope: "slip_below", figures, joined, ..whole });
    }
    rows
}

impl<'a> Row<'a> {
    fn figures(&self) -> Option<&'a Figures> {
        match self.figures {
            What::Whole => Some(&self.trap.figures),
            What::Part(figures) => Some(figures),
            What::One(..) | What::Below(_) | What::Earlier(_) => None,
        }
    }

    fn earlier(&self) -> Option<&'a EarlierChoice> {
        if let What::Earlier(choice) = self.figures { Some(choice) } else { None }
    }

    fn below(&self) -> Option<&'a SlipBelow> {
        if let What::Below(below) = self.figures { Some(below) } else { None }
    }

    fn usual(&self) -> Option<&'a Usual> {
        let of_choice = self.earlier().map(|choice| &choice.usual);
        of_choice.or_else(|| self.figures().map(|figures| &figures.usual))
    }

    /// Text of a row with figures.
    fn with(&self, text: impl Fn(&Figures) -> String) -> String {
        self.figures().map_or(String::new(), text)
    }

    /// Text of the whole trap.
    fn whole(&self, text: impl Fn(&TrapReport) -> String) -> String {
        if matches!(self.figures, What::Whole) { text(self.trap) } else { String::new() }
    }
}

fn columns<'a>() -> Columns<'static, Row<'a>> {
    let mut columns = Columns::new()
        .text("name", |row: &Row| row.trap.name.clone())
        .text("setter", |row| row.trap.setter.fold_wb("white", "black").into())
        .text("scope", |row| row.scope.into())
        .text("from", |row| row.from.to_string())
        .text("below", |row| row.below.to_string())
        .text("line", |row| row.with(|_| row.trap.line.clone()))
        .text("trap_fen", |row| row.with(|_| row.trap.trap_fen.clone()))
        .text("bait", |row| row.with(|_| row.trap.bait.clone().unwrap_or_default()))
        .text("slip", |row| row.with(|_| row.trap.slip.clone()))
        .text("refutation", |row| row.with(|_| row.trap.refutation.clone()))
        .text("slips", |row| row.whole(|trap| joined(&slips(trap))))
        .text("refutations", |row| row.whole(|trap| joined(&refutations(trap))))
        .text("advice", |row| row.whole(|trap| joined(&codes(&trap.advice))))
        .text("advice_reasons", |row| row.whole(|trap| joined(&reasons(&trap.advice))))
        .text("games_to_decide", |row| row.whole(|trap| decide(&trap.advice)))
        .text("games", |row| row.with(|f| f.games.to_string()));
    let (each, of_trap): (Vec<_>, Vec<_>) = TABLE.iter().partition(|figure| figure.is_of_filter());
    for figure in each {
        columns = match figure.key {
            "edge_usual" => columns.text("usual", |row| {
                row.usual().and_then(|usual| usual.san.clone()).unwrap_or_default()
            }),
            "ahead_expected" => {
                columns.text("ahead_games", |row| row.with(|f| f.ahead.games.to_string()))
            }
            _ => columns,
        };
        columns = columns.figure(figure.key, figure.unit, |row| match row.figures {
            What::One(key, one) => (key == figure.key).then_some(one),
            What::Earlier(choice) => (figure.key == "edge_usual").then_some(&choice.usual.edge),
            _ => figure.of(row.figures()?),
        });
        if figure.key == "ahead_expected" {
            let end = |row: &Row, of: fn(NextSlips) -> u64| {
                row.with(|f| f.ahead.range.map_or(String::new(), |range| of(range).to_string()))
            };
            columns = columns
                .text("ahead_range_low", move |row| end(row, |range| range.low))
                .text("ahead_range_high", move |row| end(row, |range| range.high));
        }
        if figure.key == "steered" {
            columns = columns
                .text("steered_rarest", |row| {
                    row.with(|f| f.steered.rarest.clone().unwrap_or_default())
                })
                .text("steered_mixed", |row| row.with(|f| f.steered.mixed.to_string()))
                .text("steered_never", |row| {
                    row.with(|f| f.steered.never.clone().unwrap_or_default())
                });
        }
    }
    columns = columns
        .text("verdict", |row| {
            row.with(|f| f.verdict.codes.iter().map(code).collect::<Vec<_>>().join(";"))
        })
        .text("pace", |row| row.pace.map_or(String::new(), |pace| pace.to_string()))
        .text("joined", |row| row.joined.map_or(String::new(), |joined| joined.to_string()));
    for figure in of_trap {
        columns = columns.figure(figure.key, figure.unit, |row| {
            matches!(row.figures, What::Whole).then(|| figure.of_trap(row.trap))
        });
    }
    let rating = |row: &Row, of: fn(&SlipBelow) -> Option<u16>| {
        row.below().and_then(of).map_or(String::new(), |rating| rating.to_string())
    };
    columns
        .text("slip_below", move |row| rating(row, |below| below.value))
        .text("slip_below_low", move |row| rating(row, |below| below.low))
        .text("slip_below_high", move |row| rating(row, |below| below.high))
        .text("slip_below_n", |row| row.below().map_or(String::new(), |b| b.n.to_string()))
        .text("slip_below_n_eff", |row| row.below().map_or(String::new(), |b| b.n_eff.to_string()))
        .reason("slip_below", |row| row.below()?.withheld.as_ref())
        .text("earlier_move", |row| {
            row.earlier().map_or(String::new(), |choice| choice.san.clone())
        })
        .figure("edge_earlier", Unit::Edge, |row| Some(&row.earlier()?.edge))
        .figure("edge_earlier_difference", Unit::Edge, |row| Some(&row.earlier()?.difference))
        .text("soundness", |row| row.whole(|trap| code(&trap.soundness.verdict)))
        .text("soundness_slip_loses_cp", |row| {
            row.whole(|trap| number(trap.soundness.slip_loses.map(|grounds| grounds.cp)))
        })
        .text("soundness_without_slip_cp", |row| {
            row.whole(|trap| number(trap.soundness.without_slip.map(|grounds| grounds.cp)))
        })
        .text("soundness_because", |row| row.whole(|trap| because(&trap.soundness)))
}

fn joined(parts: &[String]) -> String {
    parts.join(";")
}

/// Every slip, SAN.
fn slips(trap: &TrapReport) -> Vec<String> {
    let several = trap.slips.iter().flat_map(|slips| &slips.moves).map(|slip| slip.san.clone());
    let slips: Vec<String> = several.collect();
    if slips.is_empty() { vec![trap.slip.clone()] } else { slips }
}

/// Every refutation, SAN, each behind its slip: `fxe5 Qh5+`.
fn refutations(trap: &TrapReport) -> Vec<String> {
    let several = trap.refutations.iter().flat_map(|refutations| &refutations.moves);
    let several: Vec<String> = several.map(|mv| format!("{} {}", mv.after, mv.san)).collect();
    match several.is_empty() {
        true => vec![format!("{} {}", trap.slip, trap.refutation)],
        false => several,
    }
}

fn codes(advice: &Advice) -> Vec<String> {
    advice.codes.iter().map(code).collect()
}

fn reasons(advice: &Advice) -> Vec<String> {
    advice.reasons.iter().map(|reason| code(&reason.code)).collect()
}

fn decide(advice: &Advice) -> String {
    let games = advice.reasons.iter().find_map(|reason| reason.games_to_decide);
    games.map_or(String::new(), |games| games.to_string())
}
