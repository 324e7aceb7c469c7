//! One trap on one sheet.

use super::{View, bands, curve, explain, soundness, title};
use crate::answers::trap::{Alternatives, Figures, TrapReport};
use crate::pages::board::board;
use crate::pages::figures::{Reasons, Shown, Unit};
use crate::pages::layout::{Side, TextTable, paragraph};
use crate::pages::numbers::counted;
use crate::pages::words::{self, clean};

/// The sheet, its title led by the trap's place among several.
pub(super) fn text(trap: &TrapReport, place: Option<usize>, view: View) -> String {
    let mut page = head(trap, place, view);
    page.push('\n');
    page += &figures(trap);
    page.push('\n');
    notes(trap).iter().for_each(|note| page += &paragraph(note, 0));
    page.push('\n');
    page += &soundness::text(&trap.soundness);
    if !trap.choices.is_empty() {
        page.push('\n');
        page += &choices(trap);
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
    sections.extend(trap.explain.as_ref().map(explain::text));
    for section in sections.iter().filter(|section| !section.is_empty()) {
        page.push('\n');
        page += section;
    }
    page
}

fn head(trap: &TrapReport, place: Option<usize>, view: View) -> String {
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
    page += &paragraph(&trap.figures.verdict.sentence, 0);
    page += &paragraph(&ahead(trap), 0);
    page
}

/// What the student may expect, in a sentence.
fn ahead(trap: &TrapReport) -> String {
    let ahead = &trap.figures.ahead;
    let (setter, next) = (words::side(trap.setter), counted(ahead.games, "game"));
    let [slips, chance] = [&ahead.expected, &ahead.at_least_one].map(Shown::from);
    match slips.withheld {
        Some(why) => format!("In your next {next} as {setter}: withheld ({why})."),
        None => format!(
            "In your next {next} as {setter}, if you always play for it: {} slips to expect, at least one with a \
             chance of {} %.",
            slips.line(Unit::Number),
            chance.line(Unit::Percent)
        ),
    }
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
        let (share, edge) = (Shown::from(&mv.share), Shown::from(&mv.edge));
        [share, edge].into_iter().for_each(|shown| reasons.note(shown));
        table.row(vec![
            clean(&mv.san),
            share.line(Unit::Percent),
            share.count(),
            edge.line(Unit::Edge),
            edge.count(),
        ]);
    }
    let all = Shown::from(&moves.together);
    table.row(vec![
        "all together".into(),
        all.line(Unit::Percent),
        all.count(),
        String::new(),
        String::new(),
    ]);
    let reasons = reasons.sentence().map_or(String::new(), |note| paragraph(&note, 0));
    format!("{}{reasons}", table.render())
}

fn figures(trap: &TrapReport) -> String {
    let mut table = TextTable::new(&[
        ("figure", Side::Left),
        ("value", Side::Right),
        ("interval", Side::Right),
        ("games", Side::Right),
        ("meaning", Side::Wrapped(46)),
    ]);
    for (name, shown, unit, meaning) in rows(trap) {
        let mark = shown.mark(unit);
        let interval = match shown.interval(unit) {
            interval if interval.is_empty() => interval,
            interval => format!("{interval}{mark}"),
        };
        let meaning = match shown.withheld {
            Some(why) => format!("withheld: {why}"),
            None => meaning,
        };
        let value = format!("{}{mark}", shown.value(unit));
        let games = if shown.value.is_some() { shown.count() } else { String::new() };
        table.row(vec![name, value, interval, games, meaning]);
    }
    table.render()
}

fn rows(trap: &TrapReport) -> Vec<(String, Shown<'_>, Unit, String)> {
    let Figures {
        games: _,
        occurrence,
        steered,
        slip_rate,
        find_rate,
        score_after_slip,
        edge_after_slip,
        edge_refuted,
        edge_no_slip,
        usual,
        worth,
        price,
        net,
        slips_per_1000,
        ahead,
        verdict: _,
    } = &trap.figures;
    let (slip, victim) = (clean(&trap.slip), words::side(trap.setter.other()));
    let refutation = trap.refutation.as_deref().map_or("the refutation".into(), clean);
    let bait = trap.bait.as_deref().map_or("the bait".into(), clean);
    let most = usual.san.as_deref().map(|san| format!(", mostly {}", clean(san)));
    let row = |name: &str, shown, unit, meaning: &str| (name.into(), shown, unit, meaning.into());
    let next = counted(ahead.games, "game");
    let mut rows = vec![
        row(
            "occurrence",
            occurrence.into(),
            Unit::OneIn,
            &format!("games as {victim} that get here"),
        ),
        row(
            "steered",
            steered.into(),
            Unit::OneIn,
            "if the setter always plays this line (games at its thinnest choice)",
        ),
        row(
            "in any order",
            (&trap.steered_any_order).into(),
            Unit::OneIn,
            "the same if the victim may play the line's moves in any order",
        ),
        row("slip rate", slip_rate.into(), Unit::Percent, &format!("victims who play {slip} here")),
        row(
            "find rate",
            find_rate.into(),
            Unit::Percent,
            &format!("setters who reply {refutation}"),
        ),
        row(
            "score after slip",
            score_after_slip.into(),
            Unit::Percent,
            "setter's score, whatever the reply",
        ),
        row("edge after slip", edge_after_slip.into(), Unit::Edge, "the same against expectation"),
        row("edge refuted", edge_refuted.into(), Unit::Edge, &format!("with {refutation}")),
        row(
            "edge without slip",
            edge_no_slip.into(),
            Unit::Edge,
            "when the victim plays something else",
        ),
        row(
            "edge of the usual",
            (&usual.edge).into(),
            Unit::Edge,
            &format!("other moves instead of {bait}{}", most.unwrap_or_default()),
        ),
        row(
            "worth",
            worth.into(),
            Unit::Points,
            "points per 1000 games that go with knowing the refutation",
        ),
        row(
            "price",
            price.into(),
            Unit::Edge,
            "what laying it costs when the victim does not slip",
        ),
        row(
            "net",
            net.into(),
            Unit::Points,
            "points per 1000 games of laying it instead of the usual",
        ),
        row("slips per 1000", slips_per_1000.into(), Unit::Number, "slips in 1000 steered games"),
        row(
            &format!("in {next}"),
            (&ahead.expected).into(),
            Unit::Number,
            "slips to expect when steering",
        ),
        row(
            "at least one",
            (&ahead.at_least_one).into(),
            Unit::Percent,
            &format!("chance of a slip in {next}"),
        ),
    ];
    let time = &trap.time;
    if time.slip_s.n + time.others_s.n > 0 {
        rows.extend([
            row(
                "seconds, slip",
                (&time.slip_s).into(),
                Unit::Number,
                "mean time spent on the slip",
            ),
            row(
                "seconds, others",
                (&time.others_s).into(),
                Unit::Number,
                "on the other moves here",
            ),
            row(
                "difference",
                (&time.difference_s).into(),
                Unit::Points,
                "seconds more on the slip",
            ),
        ]);
    }
    rows
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
            "Steered is mixed: bands with too few games at a move took the share of all bands there."
                .into(),
        );
    }
    notes.extend(words::may_lack(trap.may_lack, "from a position of the line"));
    notes
}

fn choices(trap: &TrapReport) -> String {
    let mut table = TextTable::new(&[
        ("on the way the victim plays", Side::Left),
        ("share %", Side::Right),
        ("games", Side::Right),
    ]);
    let mut reasons = Reasons::default();
    for choice in &trap.choices {
        let share = Shown::from(&choice.share);
        reasons.note(share);
        table.row(vec![clean(&choice.san), share.line(Unit::Percent), share.count()]);
    }
    let reasons = reasons.sentence().map_or(String::new(), |note| paragraph(&note, 0));
    format!("{}{reasons}", table.render())
}
