//! The picture of a file: where a student's games go, what is answered and what is not.

use super::phrases::{met, whole_line};
use crate::answers::gaps::{GapsAnswer, MapBlock, MapKind};
use crate::pages::figures::{Unit, reason};
use crate::pages::icicle::{Block, Icicle, Shape};
use crate::pages::numbers::{counted, fixed};
use crate::pages::patterns::{Fill, Sign};
use crate::pages::words;

/// Gaps that the alternative text names.
const NAMED: usize = 10;

/// The file's icicle chart as an SVG document. Rows are half-moves, widths are shares of the
/// student's games.
pub fn svg(answer: &GapsAnswer) -> String {
    let side = words::side(answer.side);
    let title = format!("What a file of prepared lines for {side} answers");
    let answered = Unit::Share.view(&answer.answered);
    let answered = match answer.answered.value {
        Some(_) => {
            format!("Answered: {} % of the games {}.", answered.value(), answered.interval())
        }
        None => {
            let why = answer.answered.withheld.as_ref().map_or(String::new(), reason);
            format!("Answered: not known ({why}).")
        }
    };
    let about = format!("{}.", words::filter(answer.filter));
    let gaps: Vec<String> = answer
        .gaps
        .iter()
        .take(NAMED)
        .map(|gap| format!("{}, {}", whole_line(gap), met(&gap.met)))
        .collect();
    let gaps = match gaps.is_empty() {
        true => String::new(),
        false => format!(" Gaps: {}.", gaps.join("; ")),
    };
    let rows = (0..1000).map(|ply| match ply % 2 {
        0 => format!("{}.", ply / 2 + 1),
        _ => format!("{}...", ply / 2 + 1),
    });
    let plain = |text: &str| text.to_owned();
    Icicle {
        description: format!("{answered} Opponents: {about}{gaps}"),
        head: vec![
            title.clone(),
            format!("{answered} Opponents: {about}"),
            format!("Below each other: half-moves, {side}'s in bold. Width: share of the games."),
        ],
        title,
        key: vec![
            (Sign::Filled(Fill::Plain), plain("in the file; a thick stroke ends a line")),
            (Sign::Filled(Fill::Hatched), plain("not answered")),
            (Sign::Filled(Fill::Dotted), plain("unknown: no such games in the store")),
        ],
        rows: rows.take(depth(&answer.map)).map(|name| [name, String::new()]).collect(),
        blocks: answer.map.iter().map(|block| drawn(block, "")).collect(),
        zooms: Vec::new(),
        foot: Vec::new(),
        shape: Shape::SHEET,
    }
    .document()
}

fn depth(blocks: &[MapBlock]) -> usize {
    blocks.iter().map(|block| 1 + depth(&block.children)).max().unwrap_or(0)
}

fn drawn(block: &MapBlock, before: &str) -> Block {
    let percent = format!("{} %", fixed(100.0 * block.share, 1));
    let (label, meaning) = match (block.kind, block.moves) {
        (MapKind::Unknown, _) => ("?".to_owned(), "unknown: no such games in the store"),
        (MapKind::Gap, 1) => (block.san.clone(), "not answered"),
        (MapKind::Gap, moves) => (format!("{moves} more"), "not answered"),
        (_, 1) => (block.san.clone(), "in the file"),
        (_, moves) => (format!("{moves} more"), "in the file"),
    };
    let way = format!("{before} {label}").trim().to_owned();
    let moves = match block.moves {
        0 | 1 => String::new(),
        moves => format!(" ({})", counted(moves as u64, "rare move")),
    };
    Block {
        words: format!("{way}{moves}: {percent} of the games, {meaning}"),
        label,
        detail: percent,
        share: block.share,
        fill: match block.kind {
            MapKind::Own | MapKind::Answered => Fill::Plain,
            MapKind::Gap => Fill::Hatched,
            MapKind::Unknown => Fill::Dotted,
        },
        strong: block.kind == MapKind::Own,
        heavy: false,
        ends: block.ends,
        tag: String::new(),
        children: block.children.iter().map(|child| drawn(child, &way)).collect(),
    }
}
