//! One trap on one sheet.

use super::figures::{because, below, listing, with_games};
use super::table::{TABLE, TrapFigure};
use super::view::{View, paragraph, title};
use super::{advice, bands, curve, explain, soundness, verdict};
use crate::answers::Figure;
use crate::answers::trap::{
    Alternatives, Choice, EarlierChoice, NextSlips, Refutation, Slip, TrapAnswer, TrapReport,
};
use crate::pages::board::board;
use crate::pages::figures::{FigureView, Reasons, Unit};
use crate::pages::fitted::FittedTable;
use crate::pages::layout::Side;
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
    page += &listing(shown(trap).map(|figure| figure.row(trap)));
    page.push('\n');
    notes(trap).iter().for_each(|note| page += &paragraph(note, 0));
    page.push('\n');
    page += &soundness::text(trap);
    let several = [trap.slips.as_ref().map(slips), trap.refutations.as_ref().map(refutations)];
    for table in several.into_iter().flatten() {
        page.push('\n');
        page += &table;
    }
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
    page.push('\n');
    let said = format!("{} {}", advice::sentence(trap), verdict::facts(trap, answer));
    page += &paragraph(&said, 0);
    page += &format!("\n{}\n", board(&trap.trap_fen, trap.setter, view.board));
    page += &format!("The victim chooses here:\n{}\n", clean(&trap.trap_fen));
    page.push('\n');
    page += &paragraph(&format!("{} {}", verdict::more(trap, answer), ahead(trap)), 0);
    page
}

/// What the student may expect, in a sentence.
fn ahead(trap: &TrapReport) -> String {
    let ahead = &trap.figures.ahead;
    let (setter, next) = (words::side(trap.setter), counted(ahead.games, "game"));
    match because(&ahead.expected) {
        Some(why) => {
            format!("What to expect in your next {next} as {setter} can't be said: {why}.")
        }
        None => format!(
            "In your next {next} as {setter}, if you always play for it, expect {} slips{}; the chance of at least one is {}.",
            Unit::Number.view(&ahead.expected).said(),
            ahead.range.map_or(String::new(), range),
            Unit::Percent.view(&ahead.at_least_one).said()
        ),
    }
}

/// What chance and margin together leave open.
fn range(NextSlips { low, high }: NextSlips) -> String {
    format!(" (19 of 20 students will see {low} to {high})")
}

/// Several slips, and all together.
fn slips(slips: &Alternatives<Slip>) -> String {
    let mut table = FittedTable::new(vec![
        vec![("slips here", Side::Left)],
        with_games("share %", "games"),
        with_games("setter's edge %", "n"),
        with_games("find rate %", "games"),
    ]);
    let mut reasons = Reasons::default();
    for slip in &slips.moves {
        [&slip.share, &slip.edge, &slip.find_rate].into_iter().for_each(|f| reasons.note(f));
        let (share, edge) = (Unit::Share.view(&slip.share), Unit::Edge.view(&slip.edge));
        let found = Unit::Share.view(&slip.find_rate);
        table.row(vec![
            vec![clean(&slip.san)],
            vec![share.line(), share.counts()],
            vec![edge.line(), edge.counts()],
            vec![found.line(), found.counts()],
        ]);
    }
    let nothing = || vec![String::new(); 2];
    table.row(vec![vec![TOGETHER.into()], together(&slips.together), nothing(), nothing()]);
    below(&reasons, table)
}

/// Several refutations, each among the replies to its slip, and all together.
fn refutations(refutations: &Alternatives<Refutation>) -> String {
    let mut table = FittedTable::new(vec![
        vec![("refutations", Side::Left), ("after", Side::Left)],
        with_games("share %", "games"),
        with_games("setter's edge %", "n"),
    ]);
    let mut reasons = Reasons::default();
    for mv in &refutations.moves {
        [&mv.share, &mv.edge].into_iter().for_each(|figure| reasons.note(figure));
        let (share, edge) = (Unit::Share.view(&mv.share), Unit::Edge.view(&mv.edge));
        table.row(vec![
            vec![clean(&mv.san), clean(&mv.after)],
            vec![share.line(), share.counts()],
            vec![edge.line(), edge.counts()],
        ]);
    }
    let all = together(&refutations.together);
    table.row(vec![vec![TOGETHER.into(), String::new()], all, vec![String::new(); 2]]);
    below(&reasons, table)
}

const TOGETHER: &str = "all together";

fn together(all: &Figure) -> Vec<String> {
    let view = Unit::Share.view(all);
    vec![view.line(), view.counts()]
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
        notes.push(words::MIXED.into());
    }
    let ways: Vec<String> = trap.other_ways.iter().map(|way| clean(way)).collect();
    if !ways.is_empty() {
        let ways = ways.join("; ");
        notes.push(format!(
            "The file also reaches this position by {ways}. How often it is reached is given for the first way."
        ));
    }
    notes.extend(words::may_lack(trap.may_lack, "from a position of the line"));
    notes
}

/// The moves that one side has to choose on the way.
pub(super) fn choices(whose: &str, choices: &[Choice]) -> String {
    let columns = vec![vec![(whose, Side::Left)], with_games("share %", "games")];
    let mut table = FittedTable::new(columns);
    let mut reasons = Reasons::default();
    for choice in choices {
        let share = Unit::Share.view(&choice.share);
        reasons.note(&choice.share);
        table.row(vec![vec![clean(&choice.san)], vec![share.line(), share.counts()]]);
    }
    below(&reasons, table)
}

/// The setter's moves before the bait against all others there.
fn earlier_choices(choices: &[EarlierChoice]) -> String {
    let mut table = FittedTable::new(vec![
        vec![("earlier choice", Side::Left)],
        vec![("edge %", Side::Right)],
        vec![("others, mostly", Side::Left), ("edge %", Side::Right)],
        vec![("difference %", Side::Right)],
    ]);
    let mut reasons = Reasons::default();
    let stacked =
        |view: FigureView<'_>| format!("{}\n{}", view.line(), view.counts()).trim_end().to_owned();
    for choice in choices {
        let EarlierChoice { san, edge, usual, difference } = choice;
        let figures = [edge, &usual.edge, difference];
        figures.into_iter().for_each(|figure| reasons.note(figure));
        let [played, others, difference] = figures.map(|figure| Unit::Edge.view(figure));
        let number = san.trim_end_matches(|c: char| c != '.');
        let most =
            usual.san.as_deref().map_or("-".into(), |usual| clean(&format!("{number}{usual}")));
        table.row(vec![
            vec![clean(san)],
            vec![stacked(played)],
            vec![most, stacked(others)],
            vec![difference.line()],
        ]);
    }
    let said = "The setter's choices before the bait, which net leaves out. Others: all other moves there together, the most played one named. Difference: \
                edge of the move minus edge of the others; below 0 the move costs something.";
    format!("{}\n{}", paragraph(said, 0), below(&reasons, table))
}
