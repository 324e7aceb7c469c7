//! One trap on one sheet.

use super::table::{TABLE, TrapFigure};
use super::view::{View, title};
use super::{bands, curve, explain, soundness, verdict};
use crate::answers::trap::{
    Alternatives, Choice, EarlierChoice, NextSlips, TrapAnswer, TrapReport,
};
use crate::pages::board::board;
use crate::pages::figures::{FigureView, Reasons, Unit, figure_table, reason};
use crate::pages::layout::{Side, TextTable, paragraph};
use crate::pages::numbers::counted;
use crate::pages::words::{self, clean};

/// The sheet, its title led by the trap's place among several.
pub(super) fn text(
    trap: &TrapReport,
    place: Option<usize>,
    answer: &TrapAnswer,
    view: View,
) -> String {
    let mut page = head(trap, place, answer, view);
    page.push('\n');
    page += &figure_table(shown(trap).map(|figure| figure.row(trap)), 42);
    page.push('\n');
    notes(trap).iter().for_each(|note| page += &paragraph(note, 0));
    page.push('\n');
    page += &soundness::text(&trap.soundness);
    if !trap.choices.is_empty() {
        page.push('\n');
        page += &choices("on the way the victim plays", &trap.choices);
    }
    if !trap.earlier_choices.is_empty() {
        page.push('\n');
        page += &earlier_choices(&trap.earlier_choices);
    }
    if !trap.bands.is_empty() {
        page.push('\n');
        page += &bands::text(&trap.bands);
    }
    let mut sections: Vec<String> = Vec::new();
    sections.extend(trap.slips.as_ref().map(|slips| alternatives("slips here", slips)));
    let refutations = trap.refutations.as_ref();
    sections.extend(refutations.map(|moves| alternatives("refutations", moves)));
    sections.push(curve::text(&trap.curve));
    if !trap.by_pace.is_empty() {
        sections.push(curve::paces(&trap.by_pace));
    }
    sections.extend(trap.explain.as_ref().map(|explanation| explain::text(trap, explanation)));
    for section in sections.iter().filter(|section| !section.is_empty()) {
        page.push('\n');
        page += section;
    }
    page
}

fn head(trap: &TrapReport, place: Option<usize>, answer: &TrapAnswer, view: View) -> String {
    let place = place.map_or(String::new(), |place| format!("{place}. "));
    let opening = [&trap.eco, &trap.opening];
    let opening: Vec<String> = opening.into_iter().flatten().map(|part| clean(part)).collect();
    let opening =
        if opening.is_empty() { String::new() } else { format!(" ({})", opening.join(" ")) };
    let setter = words::side(trap.setter);
    let mut page = paragraph(&format!("{place}{}{opening}", title(trap)), 4);
    page += &paragraph(&format!("{setter} lays it: {}", clean(&trap.line)), 4);
    page += &format!("\n{}\n", board(&trap.trap_fen, trap.setter, view.board));
    page += &format!("The victim chooses here: {}\n", clean(&trap.trap_fen));
    page += &paragraph(&verdict::sentence(trap, answer), 0);
    page += &paragraph(&ahead(trap), 0);
    page
}

/// What the student may expect, in a sentence.
fn ahead(trap: &TrapReport) -> String {
    let ahead = &trap.figures.ahead;
    let (setter, next) = (words::side(trap.setter), counted(ahead.games, "game"));
    match &ahead.expected.withheld {
        Some(why) => format!("In your next {next} as {setter}: withheld ({}).", reason(why)),
        None => format!(
            "In your next {next} as {setter}, if you always play for it: {} slips to expect{}, at least one with a \
             chance of {}.",
            Unit::Number.view(&ahead.expected).said(),
            ahead.range.map_or(String::new(), range),
            Unit::Percent.view(&ahead.at_least_one).said()
        ),
    }
}

/// What chance and margin together leave open.
fn range(NextSlips { low, high }: NextSlips) -> String {
    format!(" (19 of 20 such students will see {low} to {high})")
}

/// Several moves that do the same, and all together.
fn alternatives(name: &str, moves: &Alternatives) -> String {
    let mut table = TextTable::new(&[
        (name, Side::Left),
        ("share %", Side::Right),
        ("games", Side::Right),
        ("setter's edge %", Side::Right),
        ("n", Side::Right),
    ]);
    let mut reasons = Reasons::default();
    for mv in &moves.moves {
        [&mv.share, &mv.edge].into_iter().for_each(|figure| reasons.note(figure));
        let (share, edge) = (Unit::Share.view(&mv.share), Unit::Edge.view(&mv.edge));
        table.row(vec![clean(&mv.san), share.line(), share.counts(), edge.line(), edge.counts()]);
    }
    let all = Unit::Share.view(&moves.together);
    let all = vec!["all together".into(), all.line(), all.counts(), String::new(), String::new()];
    table.row(all);
    reasons.below(table)
}

/// The figures, those of time only where somebody measured it.
fn shown(trap: &TrapReport) -> impl Iterator<Item = &'static TrapFigure> {
    let timed = trap.time.slip_s.n + trap.time.others_s.n > 0;
    TABLE.iter().filter(move |figure| timed || !figure.path.starts_with("time."))
}

fn notes(trap: &TrapReport) -> Vec<String> {
    let mut notes = Vec::new();
    let steered = &trap.figures.steered;
    if !trap.paces.is_empty() {
        notes.push(format!("Games here by pace: {}.", words::mix(&trap.paces)));
    }
    notes.extend(words::ratings(
        "the setter after the slip",
        trap.expected,
        trap.rating_difference,
    ));
    if let Some(never) = &steered.never {
        notes.push(format!("Steered is 0: nobody of these ratings played {}.", clean(never)));
    }
    if steered.mixed {
        notes.push(
            "Steered is mixed: bands with fewer than 50 games at a move were taken together there, as if the setter's moves were \
             equally frequent in all of them."
                .into(),
        );
    }
    notes.extend(words::may_lack(trap.may_lack, "from a position of the line"));
    notes
}

/// The moves that one side has to choose on the way.
pub(super) fn choices(whose: &str, choices: &[Choice]) -> String {
    let mut table =
        TextTable::new(&[(whose, Side::Left), ("share %", Side::Right), ("games", Side::Right)]);
    let mut reasons = Reasons::default();
    for choice in choices {
        let share = Unit::Share.view(&choice.share);
        reasons.note(&choice.share);
        table.row(vec![clean(&choice.san), share.line(), share.counts()]);
    }
    reasons.below(table)
}

/// The setter's moves before the bait against the usual ones there.
fn earlier_choices(choices: &[EarlierChoice]) -> String {
    let mut table = TextTable::new(&[
        ("earlier choice", Side::Left),
        ("edge %", Side::Right),
        ("usual", Side::Left),
        ("edge %", Side::Right),
        ("difference %", Side::Right),
    ]);
    let mut reasons = Reasons::default();
    let below =
        |view: FigureView<'_>| format!("{}\n{}", view.line(), view.counts()).trim_end().to_owned();
    for choice in choices {
        let EarlierChoice { san, edge, usual, difference } = choice;
        let figures = [edge, &usual.edge, difference];
        figures.into_iter().for_each(|figure| reasons.note(figure));
        let [played, others, difference] = figures.map(|figure| Unit::Edge.view(figure));
        table.row(vec![
            clean(san),
            below(played),
            usual.san.as_deref().map_or("-".into(), clean),
            below(others),
            difference.line(),
        ]);
    }
    format!(
        "{}\n{}",
        paragraph(
            "The setter's choices before the bait. Net prices the bait alone, so what these cost comes on top; difference: edge of the \
             move minus edge of the usual ones, below 0 it costs.",
            0
        ),
        reasons.below(table)
    )
}
