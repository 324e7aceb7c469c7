//! One finding.

use crate::answers::hunt::{Branch, Evaluations, Found, HuntAnswer, ReachKind, Verdict};
use crate::pages::board::{self, BoardStyle};
use crate::pages::figures::{Shown, Unit};
use crate::pages::layout::{Side, TextTable, paragraph};
use crate::pages::numbers::{count, counted};
use crate::pages::words::{self, clean};

/// The finding at a place of the list, with its board if wanted.
pub(super) fn text(found: &Found, place: usize, answer: &HuntAnswer, with_board: bool) -> String {
    let trap = &found.trap;
    let eco = trap.eco.as_deref().map_or(String::new(), |eco| format!(" ({})", clean(eco)));
    let mut page = paragraph(&format!("{place}. {}{eco}", clean(&trap.name)), 4);
    page += &paragraph(&clean(&trap.line), 4);
    page += &format!("The victim chooses here: {}\n", clean(&trap.trap_fen));
    if with_board {
        page.push('\n');
        page += &board::board(&trap.trap_fen, trap.setter, BoardStyle::Ascii);
    }
    page.push('\n');
    page += &figures(found);
    page.push('\n');
    notes(found, answer).iter().for_each(|note| page += &paragraph(note, 0));
    page
}

fn figures(found: &Found) -> String {
    let trap = &found.trap;
    let figures = &trap.figures;
    let mut table = TextTable::new(&[
        ("figure", Side::Left),
        ("value", Side::Right),
        ("interval", Side::Right),
        ("games", Side::Right),
        ("meaning", Side::Wrapped(52)),
    ]);
    let (slip, victim) = (clean(&trap.slip), words::side(trap.setter.other()));
    let refutation = trap.refutation.as_deref().map_or(String::new(), clean);
    let reach = match found.reach.kind {
        ReachKind::Occurrence => format!("games as {victim} that come here"),
        ReachKind::Repertoire => "games with the repertoire that come here".to_owned(),
    };
    let rows: [(&str, Shown<'_>, Unit, String); 8] = [
        ("reach", (&found.reach.rate).into(), Unit::OneIn, reach),
        (
            "slip rate",
            (&figures.slip_rate).into(),
            Unit::Percent,
            format!("victims who play {slip}"),
        ),
        (
            "drop",
            (&found.drop).into(),
            Unit::Edge,
            format!("what {slip} costs against the other moves"),
        ),
        (
            "find rate",
            (&figures.find_rate).into(),
            Unit::Percent,
            format!("setters who reply {refutation}"),
        ),
        (
            "edge refuted",
            (&figures.edge_refuted).into(),
            Unit::Edge,
            format!("with {refutation}, from games that did not choose it"),
        ),
        (
            "edge without slip",
            (&figures.edge_no_slip).into(),
            Unit::Edge,
            "the setter's, when the victim plays something else".to_owned(),
        ),
        (
            "worth",
            (&figures.worth).into(),
            Unit::Points,
            "points per 1000 games that go with knowing the refutation".to_owned(),
        ),
        (
            "net",
            (&figures.net).into(),
            Unit::Points,
            "points per 1000 games of laying it instead of the usual".to_owned(),
        ),
    ];
    for (name, shown, unit, meaning) in rows {
        let mark = shown.mark(unit);
        let interval = match shown.interval(unit) {
            interval if interval.is_empty() => interval,
            interval => format!("{interval}{mark}"),
        };
        let meaning = shown.withheld.map_or(meaning, |why| format!("withheld: {why}"));
        let games = if shown.value.is_some() { shown.count() } else { String::new() };
        table.row(vec![
            name.to_owned(),
            format!("{}{mark}", shown.value(unit)),
            interval,
            games,
            meaning,
        ]);
    }
    table.render()
}

fn notes(found: &Found, answer: &HuntAnswer) -> Vec<String> {
    let trap = &found.trap;
    let mut notes = vec![format!(
        "{} in the position; p = {}, q = {} among {}. {}",
        counted(trap.figures.games, "game"),
        chance(found.p),
        chance(found.q),
        counted(answer.tests as u64, "test"),
        evaluations(&found.evaluations, &clean(&trap.slip)),
    )];
    notes.extend(found.branches.iter().map(branch));
    if !trap.paces.is_empty() {
        notes.push(format!("Games here by pace: {}.", words::mix(&trap.paces)));
    }
    if trap.figures.steered.mixed {
        notes.push(
            "Net is mixed: bands with too few games at a move took the share of all bands there."
                .into(),
        );
    }
    notes.extend(words::may_lack(trap.may_lack, "from a position of the line"));
    notes
}

fn branch(branch: &Branch) -> String {
    let (slip, drop, edge) = (
        Shown::from(&branch.slip_rate),
        Shown::from(&branch.drop),
        Shown::from(&branch.edge_refuted),
    );
    format!(
        "Another slip here: {} ({} % of {}), drop {} % over {}, q = {}, refuted by {} (edge {}{} over {}). {}",
        clean(&branch.slip),
        slip.line(Unit::Percent),
        counted(branch.slip_rate.n, "game"),
        drop.line(Unit::Edge),
        counted(branch.drop.n, "game"),
        chance(branch.q),
        clean(&branch.refutation),
        edge.line(Unit::Edge),
        edge.mark(Unit::Edge),
        counted(branch.edge_refuted.n, "game"),
        evaluations(&branch.evaluations, &clean(&branch.slip)),
    )
}

/// What evaluations say, with their counts.
fn evaluations(found: &Evaluations, slip: &str) -> String {
    let pawns = |cp: Option<f64>| cp.map_or("-".to_owned(), |cp| format!("{:+.1}", cp / 100.0));
    let means = format!(
        "{} pawns for the victim after {slip} ({}), {} after the other moves ({})",
        pawns(found.slip_cp),
        counted(found.slip_games, "game"),
        pawns(found.others_cp),
        count(found.others_games)
    );
    match found.verdict {
        Verdict::Agree => format!("Evaluations agree: {means}."),
        Verdict::Contradict => {
            format!("Evaluations CONTRADICT this finding: {means}; look before you teach it.")
        }
        Verdict::TooFew => "Too few evaluations to bear it out.".to_owned(),
    }
}

/// A small chance with two digits.
fn chance(p: f64) -> String {
    match p {
        0.0 => "0".to_owned(),
        p if p >= 0.001 => format!("{p:.4}"),
        p => format!("{p:.1e}"),
    }
}
