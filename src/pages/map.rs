//! The picture of where games of a level go behind a line.

use shakmaty::Color;

use super::figures::Unit;
use super::icicle::{Block, Icicle, Shape};
use super::numbers::{count, counted, fixed};
use super::patterns::{Fill, Sign};
use super::words::{self, clean};
use crate::answers::map::{MapAnswer, MapMove, MapTrap, TrapsLeft};

/// Traps that are named below the picture.
const NAMED: usize = 20;
/// Moves of the first position that the alternative text names.
const TOLD: usize = 6;

/// The icicle chart as an SVG document.
pub fn svg(answer: &MapAnswer) -> String {
    let title = match answer.line.is_empty() {
        true => "Where games go from the first move".to_owned(),
        false => format!("Where games go behind {}", answer.line),
    };
    let games = counted(answer.games, "game");
    let about = format!("{games}; {}.", words::filter(answer.filter));
    let most: Vec<String> =
        answer.moves.iter().filter(|row| row.moves == 1).take(TOLD).map(said).collect();
    let most = match most.is_empty() {
        true if answer.beyond => {
            format!("There is nothing to show: it lies behind {}.", counted_part(answer))
        }
        true => format!(
            "There is nothing to show: {} are needed.",
            counted(answer.min_sample.max(1), "game")
        ),
        false => format!("Most played first: {}.", most.join("; ")),
    };
    let foot = foot(answer);
    Icicle {
        description: format!("{about} {most} {}", foot.join(" ")).trim().to_owned(),
        head: vec![title.clone(), about],
        key: key(answer),
        rows: rows(answer).into_iter().map(|name| [name, String::new()]).collect(),
        blocks: answer.moves.iter().map(|row| block(row, &answer.line, answer.first)).collect(),
        zooms: Vec::new(),
        title,
        foot,
        shape: Shape::SHEET,
    }
    .document()
}

/// `61.7 %` without its sign; shares below one percent keep two digits.
fn percent(share: f64) -> String {
    fixed(100.0 * share, super::numbers::decimals(100.0 * share).min(2))
}

fn said(row: &MapMove) -> String {
    format!("{} {} %", row.san, percent(row.share))
}

/// What each sign that occurs means.
fn key(answer: &MapAnswer) -> Vec<(Sign, String)> {
    let any = |is: fn(&MapMove) -> bool| occurs(&answer.moves, is);
    let entries = [
        (
            any(|row| row.of_trap && row.slip.is_none()),
            Sign::Heavy(Fill::Plain),
            "on the way of a trap",
        ),
        (
            any(|row| row.slip.is_some()),
            Sign::Heavy(Fill::Crossed),
            "its slip, with the trap's number below",
        ),
        (any(|row| row.gap), Sign::Filled(Fill::Hatched), "not answered by the file"),
        (any(|row| row.prepared), Sign::Filled(Fill::Plain), "bold: a move of the file"),
    ];
    let shown = entries.into_iter().filter(|(shown, ..)| *shown);
    shown.map(|(_, sign, words)| (sign, words.to_owned())).collect()
}

fn occurs(moves: &[MapMove], is: fn(&MapMove) -> bool) -> bool {
    moves.iter().any(|row| is(row) || occurs(&row.children, is))
}

/// The traps in the picture, and what could not be marked.
fn foot(answer: &MapAnswer) -> Vec<String> {
    let named = |trap: &MapTrap| {
        format!(
            "{}. {}, {}: slip in about {} % of these games, by the orders of moves shown.",
            trap.number,
            clean(&trap.name),
            trap.line,
            percent(trap.share)
        )
    };
    let mut foot = vec![
        format!(
            "Below each other: half-moves. Width: share of these games. Moves of less than {} % are taken together. Nothing stands \
             below a position with fewer than {} of different players, the minimum sample.",
            percent(answer.min_share),
            counted(answer.min_sample.max(1), "game")
        ),
        "Where orders of moves meet, a position stands below each of them, with the moves of all games that came to it by any \
         order. So a width is a product of shares, not a count: it may be a little more or less than the games that \
         went this way."
            .to_owned(),
    ];
    foot.extend(answer.traps.iter().take(NAMED).map(named));
    let more = answer.traps.len().saturating_sub(NAMED);
    if more > 0 {
        foot.push(format!("And {} more.", counted(more as u64, "trap")));
    }
    let TrapsLeft { elsewhere, deeper, not_counted, thin } = answer.traps_left;
    let left = [
        (
            deeper,
            format!(
                "slip comes after the {} shown (--plies)",
                counted(answer.plies as u64, "half-move")
            ),
        ),
        (not_counted, format!("slip comes after {}", counted_part(answer))),
        (thin, "line too few games follow that far".to_owned()),
        (elsewhere, "line does not pass through this position".to_owned()),
    ];
    let left = left.into_iter().filter(|(traps, _)| *traps > 0);
    let left: Vec<String> =
        left.map(|(traps, why)| format!("{} whose {why}", counted(traps as u64, "trap"))).collect();
    if !left.is_empty() {
        foot.push(format!("Not in the picture: {}.", left.join("; ")));
    }
    let end = 2 * (answer.first.0 - 1) + usize::from(answer.first.1.is_black()) + answer.plies;
    if end > answer.limits.half_moves.into() && !answer.beyond {
        foot.push(format!("Nothing stands below {}.", counted_part(answer)));
    }
    if answer.repertoire == Some(false) {
        foot.push(
            "The file of prepared lines does not come to this position, so nothing is marked."
                .into(),
        );
    }
    foot
}

/// `the first 30 half-moves, which are all that the store counts`.
fn counted_part(answer: &MapAnswer) -> String {
    let counted = counted(answer.limits.half_moves.into(), "half-move");
    format!("the first {counted}, which are all that the store counts (build --half-moves)")
}

/// `2.` and `2...`, from the first half-move of the picture on.
fn rows(answer: &MapAnswer) -> Vec<String> {
    let mut at = answer.first;
    let mut names = Vec::new();
    for _ in 0..answer.plies {
        names.push(number(at));
        at = behind(at);
    }
    names
}

fn number((move_number, side): (usize, Color)) -> String {
    format!("{move_number}{}", side.fold_wb(".", "..."))
}

fn behind((move_number, side): (usize, Color)) -> (usize, Color) {
    (move_number + usize::from(side == Color::Black), side.other())
}

fn block(row: &MapMove, before: &str, at: (usize, Color)) -> Block {
    let label = match row.moves {
        1 if row.slip.is_some() => format!("{}??", row.san),
        1 => row.san.clone(),
        moves => format!("{} more", count(moves as u64)),
    };
    // Black's move follows White's without its number.
    let way = match before.is_empty() || at.1 == Color::White {
        true => {
            format!("{before} {}{}{label}", number(at), if at.1 == Color::White { " " } else { "" })
        }
        false => format!("{before} {label}"),
    };
    let way = way.trim().to_owned();
    let marks = [
        (row.slip.is_some(), "the slip of a trap"),
        (row.of_trap && row.slip.is_none(), "on the way of a trap"),
        (row.gap, "not answered by the file"),
        (row.prepared, "a move of the file"),
    ];
    let marks: Vec<&str> =
        marks.into_iter().filter(|(holds, _)| *holds).map(|(_, words)| words).collect();
    let marks = if marks.is_empty() { String::new() } else { format!("; {}", marks.join(", ")) };
    let here = Unit::Share.view(&row.here);
    Block {
        words: format!(
            "{way}: {} of all games here; {} in its position, {}{marks}",
            format_args!("{} %", percent(row.share)),
            here.said(),
            here.count()
        ),
        detail: format!("{} %", percent(row.share)),
        share: row.share,
        fill: match (row.slip, row.gap) {
            (Some(_), _) => Fill::Crossed,
            (_, true) => Fill::Hatched,
            _ => Fill::Plain,
        },
        strong: row.prepared,
        heavy: row.of_trap,
        ends: false,
        tag: row.slip.map_or(String::new(), |number| number.to_string()),
        children: row.children.iter().map(|child| block(child, &way, behind(at))).collect(),
        label,
    }
}
