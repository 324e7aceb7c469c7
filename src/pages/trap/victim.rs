//! The pages of `trap --side victim`.

use std::io::{self, Write};

use serde_json::json;

use super::explain::effects;
use super::figures::{below, listing, with_games};
use super::sheet::choices;
use super::sums::{Sums, number, products};
use super::view::{View, either, paragraph};
use crate::answers::moves::MoveRow;
use crate::answers::trap::{VictimAdvice, VictimAnswer, VictimExplanation, VictimReport};
use crate::counts::Lacking;
use crate::pages::board::board;
use crate::pages::figures::{Reasons, Unit};
use crate::pages::fitted::FittedTable;
use crate::pages::layout::Side;
use crate::pages::numbers::{count, counted};
use crate::pages::output::{Columns, code, merged};
use crate::pages::words::{self, clean, side};

/// Moves that a smaller share of the games plays are told together.
const SELDOM: f64 = 0.01;

/// What the pupil who faces traps should do: of several an overview, in the order of the answer,
/// and sheets if asked.
pub fn victim_text<W: Write>(mut out: W, answer: &VictimAnswer, view: View) -> io::Result<()> {
    let filter = words::filter(answer.filter);
    let mut page = paragraph(&format!("From the victim's side; ratings and paces: {filter}."), 0);
    if answer.traps.len() > 1 {
        page += &overview(&answer.traps);
    }
    let sheets = view.each || answer.traps.len() == 1;
    for (index, trap) in answer.traps.iter().enumerate().filter(|_| sheets) {
        let place = (answer.traps.len() > 1).then_some(index + 1);
        page.push('\n');
        page += &sheet(trap, place, view);
    }
    page.push('\n');
    footer(answer).iter().for_each(|note| page += &paragraph(note, 0));
    out.write_all(page.as_bytes())
}

/// For each trap a row a move: in the trap position (`before` 0), and one and two choices of the
/// victim earlier.
pub fn victim_csv<W: Write>(out: W, answer: &VictimAnswer) -> io::Result<()> {
    let rows = answer.traps.iter().flat_map(|trap| {
        let earlier = trap.earlier.iter().map(|choice| (choice.san.as_str(), &choice.moves));
        let places = std::iter::once((trap.slip.as_str(), &trap.instead)).chain(earlier);
        places.enumerate().flat_map(move |(before, (played, moves))| {
            moves.iter().map(move |mv| {
                let victim = trap.victim.fold_wb("white", "black");
                let is_slip = before == 0 && trap.slips.contains(&mv.san);
                let head = json!({
                    "name": trap.name, "victim": victim, "before": before, "line_move": played,
                    "advice": trap.advice, "is_slip": is_slip, "comes_up_rarest": trap.comes_up.rarest,
                });
                (merged(mv, head), (trap, mv))
            })
        })
    });
    Columns::new()
        .said(&["name", "victim", "before", "line_move", "san", "uci", "games"])
        .figure("share", Unit::Share, |(_, mv): &(&VictimReport, &MoveRow)| Some(&mv.share))
        .figure("score", Unit::Percent, |(_, mv)| Some(&mv.score))
        .figure("edge", Unit::Edge, |(_, mv)| Some(&mv.edge))
        .figure("occurrence", Unit::Share, |(trap, _)| Some(&trap.occurrence))
        .figure("comes_up", Unit::Share, |(trap, _)| Some(&trap.comes_up.rate))
        .said(&["comes_up_rarest"])
        .figure("slip_rate", Unit::Share, |(trap, _)| Some(&trap.slip_rate))
        .figure("own_slips_per_1000", Unit::Number, |(trap, _)| Some(&trap.own_slips))
        .said(&["advice", "is_slip"])
        .write(out, rows)
}

/// What to do about each trap and why, then the figures.
fn overview(traps: &[VictimReport]) -> String {
    let right = |head| vec![(head, Side::Right)];
    let mut table = FittedTable::new(vec![
        vec![("", Side::Right), ("trap", Side::Wrapped(24))],
        vec![("advice", Side::Wrapped(13))],
        right("own slips"),
        right("reached"),
        right("slip rate"),
    ])
    .with_gaps();
    let mut reasons = Reasons::default();
    let mut sentences = String::new();
    for (index, trap) in traps.iter().enumerate() {
        let place = (index + 1).to_string();
        let name = clean(&trap.name);
        sentences += &paragraph(&format!("{place}. {name}: {}", sentence(trap)), 4);
        let figures = [
            (&trap.own_slips, Unit::Number),
            (&trap.comes_up.rate, Unit::Share),
            (&trap.slip_rate, Unit::Share),
        ];
        figures.iter().for_each(|(figure, _)| reasons.note(figure));
        let advice = code(&trap.advice).replace('_', " ");
        let mut row = vec![vec![place, format!("{name}\n{}", clean(&trap.line))], vec![advice]];
        row.extend(figures.map(|(figure, unit)| vec![unit.view(figure).stack()]));
        table.row(row);
    }
    format!("\nWhat to do\n\n{sentences}\n{}", below(&reasons, table))
}

/// The advice with what it rests on, and what to play.
fn sentence(trap: &VictimReport) -> String {
    let victim = side(trap.victim);
    let own = match trap.own_slips.value {
        Some(_) => {
            let own = Unit::Number.view(&trap.own_slips).said();
            format!(
                "players of this level fall for it {own} times in 1000 of their games as {victim}"
            )
        }
        None if trap.own_slips.withheld.as_ref().is_some_and(|why| why.beyond().is_some()) => {
            let beyond = trap.may_lack.beyond().map_or(String::new(), words::not_counted);
            format!(
                "how often players of this level fall for it as {victim} is not known: {beyond}"
            )
        }
        None => {
            format!(
                "there are too few games to say how often players of this level fall for it as {victim}"
            )
        }
    };
    let other = |row: &&MoveRow| {
        let known = row.edge.value.is_some() && !trap.left_worse.contains(&row.uci);
        known && !trap.slips.contains(&row.san)
    };
    let better = trap.instead.iter().find(other).map_or(String::new(), |row| {
        format!(" Play {}.", words::numbered_from(&trap.trap_fen, 0, &row.san))
    });
    match trap.advice {
        VictimAdvice::Learn => format!("Learn it: {own}.{better}"),
        VictimAdvice::HowOftenOpen if trap.own_slips.value.is_none() => format!("Open: {own}."),
        VictimAdvice::HowOftenOpen => {
            format!(
                "Open: {own}; there are too few games to say whether that is often enough to spend time on it."
            )
        }
        VictimAdvice::CostOpen => {
            format!("Open: {own}; there are too few games to say what that costs them.")
        }
        VictimAdvice::AskEngine => format!(
            "Check {} with an engine (trap --engine, from the setter's side): {own}, and there are too few evaluations to say whether the move loses.",
            slips(trap)
        ),
        VictimAdvice::NoLoss => "Skip it: the marked move does not lose.".into(),
        VictimAdvice::NoCost => format!("Skip it: {own}, and it costs them nothing."),
        VictimAdvice::Skip => format!("Skip it: {own}."),
    }
}

fn sheet(trap: &VictimReport, place: Option<usize>, view: View) -> String {
    let (victim, setter) = (side(trap.victim), side(trap.victim.other()));
    let slip = slips(trap);
    let place = place.map_or(String::new(), |place| format!("{place}. "));
    let mut page = paragraph(&format!("{place}{}", clean(&trap.name)), 4);
    page += &paragraph(&format!("{victim} may fall into it: {}", clean(&trap.line)), 4);
    page += &format!("\n{}", paragraph(&sentence(trap), 0));
    page += &format!("\n{}\n", board(&trap.trap_fen, trap.victim, view.board));
    page += &format!("{victim} chooses here:\n{}\n\n", clean(&trap.trap_fen));
    page += &figures(trap, victim, setter);
    let mut notes = Vec::new();
    if !trap.paces.is_empty() {
        notes.push(format!("Games here by pace: {}.", words::mix(&trap.paces)));
    }
    if let Some(never) = &trap.comes_up.never {
        notes
            .push(format!("It is never reached: nobody of these ratings played {}.", clean(never)));
    }
    if trap.comes_up.mixed {
        notes.push(words::MIXED.into());
    }
    notes.extend(words::may_lack(trap.may_lack, "from a position of the line"));
    notes.iter().for_each(|note| page += &paragraph(note, 0));
    if !trap.setter_choices.is_empty() {
        page.push('\n');
        page += &choices("on the way the setter plays", &trap.setter_choices);
    }
    page += &format!("\nIn the trap position, instead of {slip} (by the lower end of edge)\n\n");
    page += &moves(&trap.instead, &trap.slips, "slip", trap.may_lack);
    for choice in &trap.earlier {
        let san = clean(&choice.san);
        page += &format!("\nEarlier, instead of {san}\n\n");
        // The number ends at the last dot.
        let played = choice.san.rsplit('.').next().unwrap_or_default().to_owned();
        page += &moves(&choice.moves, &[played], "leads to the trap", trap.may_lack);
    }
    page + &trap.explain.as_ref().map_or(String::new(), |counts| explained(trap, counts))
}

/// How each figure is worked out from the counts.
fn explained(trap: &VictimReport, counts: &VictimExplanation) -> String {
    let mut page = String::from("\nFigures\n\n");
    let shares = [("occurrence", &trap.occurrence), ("slip_rate", &trap.slip_rate)];
    let mut lines: Vec<String> = shares
        .map(|(name, rate)| format!("{name} = {} = {}", Sums::fraction(rate), number(rate)))
        .to_vec();
    let comes_up = match counts.comes_up.is_empty() {
        true => "none: no move of the setter comes before".into(),
        false => products(&counts.comes_up),
    };
    lines.push(format!("comes_up = {comes_up} = {}", number(&trap.comes_up.rate)));
    lines.push(format!(
        "own_slips_per_1000 = 1000 x {} x {} = {}",
        number(&trap.occurrence),
        number(&trap.slip_rate),
        number(&trap.own_slips)
    ));
    let told = |row: &MoveRow| {
        let (games, fraction) = (row.games, Sums::fraction(&row.share));
        format!(
            "{}: share = {fraction} = {}; score = ({} wins + {} draws / 2) / {games} = {}; edge = score - expected {:.5} - ordinary \
             {:.5} = {}",
            clean(&row.san),
            number(&row.share),
            row.wins,
            row.draws,
            number(&row.score),
            row.expected,
            row.ordinary,
            number(&row.edge)
        )
    };
    lines.extend(trap.instead.iter().map(told));
    lines.iter().for_each(|line| page += &paragraph(line, 4));
    page + &effects(&counts.effects)
}

fn figures(trap: &VictimReport, victim: &str, setter: &str) -> String {
    let here = format!("games as {victim} that get here");
    let comes_up = &trap.comes_up;
    let rarest = match (&comes_up.rarest, comes_up.rate.k) {
        (Some(step), Some(k)) => {
            let games = count(comes_up.rate.n);
            format!("\nrarest step on the way: {} of {games} ({})", count(k), clean(step))
        }
        _ => String::new(),
    };
    let always = format!("if {victim} always plays this line and {setter} as usual{rarest}");
    let slips = slips(trap);
    let own =
        format!("times that these players fall for it in 1000 of all their games as {victim}");
    let rows = [
        ("occurrence", Unit::Share.view(&trap.occurrence), here),
        ("reached", Unit::Share.view(&comes_up.rate).product(), always),
        (
            "slip rate",
            Unit::Share.view(&trap.slip_rate),
            format!("of these players play {slips} here"),
        ),
        ("own slips", Unit::Number.view(&trap.own_slips), own),
    ];
    listing(rows.map(|(name, view, meaning)| (name.to_owned(), view, meaning)))
}

/// `3...fxe5`, or `3...fxe5 or 3...Qe7`.
fn slips(trap: &VictimReport) -> String {
    either(trap.slips.iter().map(|san| words::numbered_from(&trap.trap_fen, 0, san)))
}

/// The moves of a position, those `marked` with a word behind them.
fn moves(rows: &[MoveRow], marked: &[String], mark: &str, lacking: Lacking) -> String {
    if rows.is_empty() {
        let counted = if lacking.beyond().is_some() { " that are counted" } else { "" };
        return format!("No games here{counted}.\n");
    }
    let mut table = FittedTable::new(vec![
        vec![("move", Side::Left)],
        with_games("share %", "games"),
        vec![("score %", Side::Right)],
        vec![("edge %", Side::Right), ("", Side::Left)],
    ]);
    let mut reasons = Reasons::default();
    // By games, so that a lucky series of few shows nothing; what is marked is shown in any case.
    let least = rows.iter().map(|row| row.games).sum::<u64>() as f64 * SELDOM;
    let (shown, rest): (Vec<&MoveRow>, Vec<&MoveRow>) =
        rows.iter().partition(|row| row.games as f64 >= least || marked.contains(&row.san));
    for row in shown {
        [&row.share, &row.score, &row.edge].into_iter().for_each(|figure| reasons.note(figure));
        let mark = if marked.contains(&row.san) { mark } else { "" };
        table.row(vec![
            vec![clean(&row.san)],
            vec![Unit::Share.view(&row.share).line(), count(row.games)],
            vec![Unit::Percent.view(&row.score).line()],
            vec![Unit::Edge.view(&row.edge).line(), mark.into()],
        ]);
    }
    let more = match rest.iter().map(|row| row.games).sum::<u64>() {
        0 => String::new(),
        games => {
            let moves = counted(rest.len() as u64, "more move");
            format!("And {moves}, {} together (--format json has them).\n", counted(games, "game"))
        }
    };
    below(&reasons, table) + &more
}

fn footer(answer: &VictimAnswer) -> Vec<String> {
    let mut notes = vec![
        "Scores and edges are the victim's. Edge: how much better a side scores than the ratings promise, in percent of a point a game. \
         The ratings are those of the player who moves: victims in the trap position and before, setters on the way."
            .into(),
        format!("{} Intervals [low, high] are 95 %.", words::ASSOCIATION),
    ];
    notes.push(words::as_good_as());
    notes.extend(words::limits(&answer.limits));
    notes
}
