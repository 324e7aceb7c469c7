//! The pages of `trap --side victim`.

use std::io::{self, Write};

use super::View;
use crate::answers::moves::MoveRow;
use crate::answers::trap::{Choice, VictimAnswer, VictimReport};
use crate::pages::board::board;
use crate::pages::figures::{Reasons, Shown, Unit};
use crate::pages::layout::{Side, TextTable, paragraph};
use crate::pages::numbers::count;
use crate::pages::output::{Rows, mean, mean_head, rate, rate_head, withheld};
use crate::pages::words::{self, clean, side};

/// A sheet a trap for the pupil who faces it.
pub fn victim_text<W: Write>(mut out: W, answer: &VictimAnswer, view: View) -> io::Result<()> {
    let filter = words::filter(answer.filter);
    let mut page = paragraph(&format!("From the victim's side; ratings and paces: {filter}."), 0);
    for trap in &answer.traps {
        page.push('\n');
        page += &sheet(trap, view);
    }
    page.push('\n');
    footer(answer).iter().for_each(|note| page += &paragraph(note, 0));
    out.write_all(page.as_bytes())
}

/// For each trap a row a move: in the trap position (`before` 0), and one and two choices of the victim earlier.
pub fn victim_csv<W: Write>(out: W, answer: &VictimAnswer) -> io::Result<()> {
    let mut head: Vec<String> =
        ["name", "victim", "before", "line_move", "san", "uci", "games"].map(String::from).into();
    head.extend(rate_head("share"));
    head.extend(["score", "edge"].iter().flat_map(|name| mean_head(name)));
    head.extend(["occurrence", "comes_up", "slip_rate"].iter().flat_map(|name| rate_head(name)));
    head.push("withheld".into());
    let mut rows = Rows::new(out, &head)?;
    for trap in &answer.traps {
        let earlier = trap.earlier.iter().map(|choice| (choice.san.as_str(), &choice.moves));
        let places = std::iter::once((trap.slip.as_str(), &trap.instead)).chain(earlier);
        for (before, (played, moves)) in places.enumerate() {
            for mv in moves {
                let mut cells = vec![
                    trap.name.clone(),
                    trap.victim.fold_wb("white", "black").into(),
                    before.to_string(),
                    played.to_owned(),
                    mv.san.clone(),
                    mv.uci.clone(),
                    mv.games.to_string(),
                ];
                cells.extend(rate(&mv.share));
                cells.extend([&mv.score, &mv.edge].into_iter().flat_map(mean));
                let rates = [&trap.occurrence, &trap.comes_up.rate, &trap.slip_rate];
                cells.extend(rates.into_iter().flat_map(rate));
                cells.push(withheld([
                    ("share", mv.share.withheld.as_ref()),
                    ("score", mv.score.withheld.as_ref()),
                    ("edge", mv.edge.withheld.as_ref()),
                    ("occurrence", trap.occurrence.withheld.as_ref()),
                    ("comes_up", trap.comes_up.rate.withheld.as_ref()),
                    ("slip_rate", trap.slip_rate.withheld.as_ref()),
                ]));
                rows.row(&cells)?;
            }
        }
    }
    rows.finish()
}

fn sheet(trap: &VictimReport, view: View) -> String {
    let (victim, setter) = (side(trap.victim), side(trap.victim.other()));
    let slip = clean(&trap.slip);
    let mut page = paragraph(&clean(&trap.name), 4);
    page += &paragraph(&format!("{victim} may fall into it: {}", clean(&trap.line)), 4);
    page += &format!("\n{}\n", board(&trap.trap_fen, trap.victim, view.board));
    page += &format!("{victim} chooses here: {}\n\n", clean(&trap.trap_fen));
    page += &figures(trap, victim, setter);
    let mut notes = Vec::new();
    if !trap.paces.is_empty() {
        notes.push(format!("Games here by pace: {}.", words::mix(&trap.paces)));
    }
    if let Some(never) = &trap.comes_up.never {
        notes.push(format!("It never comes up: nobody of these ratings played {}.", clean(never)));
    }
    if trap.comes_up.mixed {
        notes.push("Comes up is mixed: bands with too few games at a move took the share of all bands there.".into());
    }
    notes.extend(words::may_lack(trap.may_lack, "from a position of the line"));
    notes.iter().for_each(|note| page += &paragraph(note, 0));
    if !trap.setter_choices.is_empty() {
        page.push('\n');
        page += &choices(&trap.setter_choices);
    }
    page += &format!("\nIn the trap position, instead of {slip} (by the lower end of edge)\n\n");
    page += &moves(&trap.instead, &slip, "slip");
    for choice in &trap.earlier {
        let san = clean(&choice.san);
        page += &format!("\nEarlier, instead of {san}\n\n");
        // The number ends at the last dot.
        let played = san.rsplit('.').next().unwrap_or(&san);
        page += &moves(&choice.moves, played, "leads to the trap");
    }
    page
}

fn figures(trap: &VictimReport, victim: &str, setter: &str) -> String {
    let mut table = TextTable::new(&[
        ("figure", Side::Left),
        ("value", Side::Right),
        ("interval", Side::Right),
        ("games", Side::Right),
        ("meaning", Side::Wrapped(46)),
    ]);
    let rows = [
        (
            "occurrence",
            Shown::from(&trap.occurrence),
            Unit::OneIn,
            format!("games as {victim} that get here"),
        ),
        (
            "comes up",
            Shown::from(&trap.comes_up),
            Unit::OneIn,
            format!(
                "if {victim} always plays this line and {setter} as usual (games at {setter}'s thinnest choice)"
            ),
        ),
        (
            "slip rate",
            Shown::from(&trap.slip_rate),
            Unit::Percent,
            format!("of these players play {} here", clean(&trap.slip)),
        ),
    ];
    for (name, shown, unit, meaning) in rows {
        let mark = shown.mark(unit);
        let interval = shown.interval(unit);
        let interval = if interval.is_empty() { interval } else { format!("{interval}{mark}") };
        let (games, meaning) = match shown.withheld {
            Some(why) => (String::new(), format!("withheld: {why}")),
            None => (shown.count(), meaning),
        };
        let value = format!("{}{mark}", shown.value(unit));
        table.row(vec![name.into(), value, interval, games, meaning]);
    }
    table.render()
}

fn choices(choices: &[Choice]) -> String {
    let mut table = TextTable::new(&[
        ("on the way the setter plays", Side::Left),
        ("share %", Side::Right),
        ("games", Side::Right),
    ]);
    let mut reasons = Reasons::default();
    for choice in choices {
        let share = Shown::from(&choice.share);
        reasons.note(share);
        table.row(vec![clean(&choice.san), share.line(Unit::Percent), share.count()]);
    }
    let reasons = reasons.sentence().map_or(String::new(), |note| paragraph(&note, 0));
    format!("{}{reasons}", table.render())
}

fn moves(rows: &[MoveRow], line: &str, mark: &str) -> String {
    if rows.is_empty() {
        return "No games here.\n".into();
    }
    let mut table = TextTable::new(&[
        ("move", Side::Left),
        ("games", Side::Right),
        ("share %", Side::Right),
        ("score %", Side::Right),
        ("edge %", Side::Right),
        ("", Side::Left),
    ]);
    let mut reasons = Reasons::default();
    for row in rows {
        let shown = [Shown::from(&row.share), Shown::from(&row.score), Shown::from(&row.edge)];
        shown.into_iter().for_each(|shown| reasons.note(shown));
        let [share, score, edge] = shown;
        table.row(vec![
            clean(&row.san),
            count(row.games),
            share.line(Unit::Percent),
            score.line(Unit::Percent),
            edge.line(Unit::Edge),
            if row.san == line { mark.into() } else { String::new() },
        ]);
    }
    let reasons = reasons.sentence().map_or(String::new(), |note| paragraph(&note, 0));
    format!("{}{reasons}", table.render())
}

fn footer(answer: &VictimAnswer) -> Vec<String> {
    let mut notes = vec![
        "Scores and edges are the victim's. Edge: score minus what the ratings predict and minus what that colour scores above it \
         in all games; an association, not an effect: what stronger players choose scores better."
            .into(),
        "The ratings are those of whoever moves: victims in the trap position and before, setters on the way.".into(),
        "Intervals [low, high] are 95 % and take the ratings as given.".into(),
    ];
    notes.extend(words::clustered(answer.cluster));
    notes.extend(words::limits(&answer.limits));
    notes
}
