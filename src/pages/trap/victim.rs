//! The pages of `trap --side victim`.

use std::io::{self, Write};

use super::sheet::choices;
use super::view::View;
use crate::answers::moves::MoveRow;
use crate::answers::trap::{VictimAnswer, VictimReport};
use crate::pages::board::board;
use crate::pages::figures::{Reasons, Unit, figure_table};
use crate::pages::layout::{Side, TextTable, paragraph};
use crate::pages::numbers::count;
use crate::pages::output::Columns;
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
    let rows = answer.traps.iter().flat_map(|trap| {
        let earlier = trap.earlier.iter().map(|choice| (choice.san.as_str(), &choice.moves));
        let places = std::iter::once((trap.slip.as_str(), &trap.instead)).chain(earlier);
        places.enumerate().flat_map(move |(before, (played, moves))| {
            moves.iter().map(move |mv| Row { trap, before, played, mv })
        })
    });
    Columns::new()
        .text("name", |row: &Row| row.trap.name.clone())
        .text("victim", |row| row.trap.victim.fold_wb("white", "black").into())
        .text("before", |row| row.before.to_string())
        .text("line_move", |row| row.played.to_owned())
        .text("san", |row| row.mv.san.clone())
        .text("uci", |row| row.mv.uci.clone())
        .text("games", |row| row.mv.games.to_string())
        .figure("share", Unit::Share, |row| Some(&row.mv.share))
        .figure("score", Unit::Percent, |row| Some(&row.mv.score))
        .figure("edge", Unit::Edge, |row| Some(&row.mv.edge))
        .figure("occurrence", Unit::OneIn, |row| Some(&row.trap.occurrence))
        .figure("comes_up", Unit::OneIn, |row| Some(&row.trap.comes_up.rate))
        .text("comes_up_rarest", |row| row.trap.comes_up.rarest.clone().unwrap_or_default())
        .figure("slip_rate", Unit::Share, |row| Some(&row.trap.slip_rate))
        .write(out, rows)
}

/// A move that may be played instead.
struct Row<'a> {
    trap: &'a VictimReport,
    before: usize,
    /// What the line plays there.
    played: &'a str,
    mv: &'a MoveRow,
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
        notes.push(
            "Comes up is mixed: bands with fewer than 50 games at a move were taken together there, as if the victim's moves were \
             equally frequent in all of them."
                .into(),
        );
    }
    notes.extend(words::may_lack(trap.may_lack, "from a position of the line"));
    notes.iter().for_each(|note| page += &paragraph(note, 0));
    if !trap.setter_choices.is_empty() {
        page.push('\n');
        page += &choices("on the way the setter plays", &trap.setter_choices);
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
    let here = format!("games as {victim} that get here");
    let comes_up = &trap.comes_up;
    let rarest = match (&comes_up.rarest, comes_up.rate.k) {
        (Some(step), Some(k)) => {
            format!("\nrarest step: {} of {} ({})", count(k), count(comes_up.rate.n), clean(step))
        }
        _ => String::new(),
    };
    let always = format!("if {victim} always plays this line and {setter} as usual{rarest}");
    let slips = format!("of these players play {} here", clean(&trap.slip));
    let rows = [
        ("occurrence", Unit::OneIn.view(&trap.occurrence), here),
        ("comes up", Unit::OneIn.view(&comes_up.rate).product(), always),
        ("slip rate", Unit::Share.view(&trap.slip_rate), slips),
    ];
    figure_table(rows.map(|(name, view, meaning)| (name.to_owned(), view, meaning)), 42)
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
        [&row.share, &row.score, &row.edge].into_iter().for_each(|figure| reasons.note(figure));
        table.row(vec![
            clean(&row.san),
            count(row.games),
            Unit::Share.view(&row.share).line(),
            Unit::Percent.view(&row.score).line(),
            Unit::Edge.view(&row.edge).line(),
            if row.san == line { mark.into() } else { String::new() },
        ]);
    }
    reasons.below(table)
}

fn footer(answer: &VictimAnswer) -> Vec<String> {
    let mut notes = vec![
        "Scores and edges are the victim's. Edge: score minus what the ratings predict and minus what that colour scores above it \
         in all games; an association, not an effect: what stronger players choose scores better."
            .into(),
        "The ratings are those of whoever moves: victims in the trap position and before, setters on the way.".into(),
        "Intervals [low, high] are 95 % and take the ratings as given.".into(),
    ];
    notes.push(words::as_good_as());
    notes.extend(words::limits(&answer.limits));
    notes
}
