//! The picture of the way: where games go from the first move to the slip.

use maud::{Markup, html};

use super::figure::{Unit, markup};
use super::numbered;
use super::text::plain;
use crate::answers::lesson::Material;
use crate::answers::map::MapMove;
use crate::pages::icicle::{Block, Icicle, Shape};
use crate::pages::languages::{Language, text_of};
use crate::pages::patterns::{Fill, Sign};
use crate::terms::MoverFilter;

/// A way of so many half-moves has two lines a row, a longer one has one.
const SHORT: usize = 8;
const TWO_LINES: Shape = Shape { width: 400.0, left: 150.0, row: 25.0, label: 11.5 };
const ONE_LINE: Shape = Shape { width: 400.0, left: 178.0, row: 17.0, label: 10.5 };
/// The height of all rows of one line together, as far as it leaves each the least one.
const TALL: f64 = 190.0;
const LEAST: f64 = 12.0;

/// The picture with its caption; nothing where no game shows a move of the way.
pub(super) fn way(
    material: &Material,
    number: usize,
    level: MoverFilter,
    words: &Language,
) -> Markup {
    let on_the_way = on_the_way(material);
    if on_the_way.is_empty() {
        return Markup::default();
    }
    let line = material.trap.line();
    let named = |(ply, row): (usize, &&MapMove)| {
        [words.san(&numbered(line, ply)).to_string(), share_of(row, words)]
    };
    let rows: Vec<[String; 2]> = on_the_way.iter().enumerate().map(named).collect();
    let told: Vec<String> = rows.iter().map(|row| row.join(words.colon)).collect();
    let shape = match rows.len() <= SHORT {
        true => TWO_LINES,
        false => Shape { row: (TALL / rows.len() as f64).clamp(LEAST, ONE_LINE.row), ..ONE_LINE },
    };
    let picture = Icicle {
        title: text_of(&words.way_title(level)),
        description: format!("{}.", told.join(words.semicolon)),
        head: Vec::new(),
        key: Vec::new(),
        blocks: material.way.moves.iter().map(|row| block(row, words)).collect(),
        foot: Vec::new(),
        shape,
        rows,
    };
    html! {
        figure.way {
            div.scroll tabindex="0" role="group" aria-label=(words.way) {
                (picture.figure(&format!("way-{number}")))
            }
            figcaption {
                (words.way_caption(level)) " "
                span.key { (Sign::Heavy(Fill::Plain).key()) (words.way_key) }
                " " span.key { (Sign::Heavy(Fill::Crossed).key()) (words.way_slip) }
            }
        }
    }
}

/// The moves of the line that the picture shows, one after another.
fn on_the_way(material: &Material) -> Vec<&MapMove> {
    let line = material.trap.line();
    let mut found = Vec::new();
    let mut rows = &material.way.moves;
    for ply in 0..=material.trap.slip_ply() {
        let san = line.san(ply);
        let Some(row) = rows.iter().find(|row| row.san == san) else { break };
        found.push(row);
        rows = &row.children;
    }
    found
}

/// `62 % [58, 66] of 1,204`.
fn share_of(row: &MapMove, words: &Language) -> String {
    let n = plain(&words.count(row.here.n));
    text_of(&words.of_games(markup(&row.here, Unit::Percent, words), n))
}

fn block(row: &MapMove, words: &Language) -> Block {
    let label = match row.moves {
        1 => words.san(&row.san).to_string(),
        moves => words.more(moves as u64),
    };
    Block {
        words: format!("{label}{}{}", words.colon, share_of(row, words)),
        label,
        detail: String::new(),
        share: row.share,
        fill: if row.slip { Fill::Crossed } else { Fill::Plain },
        strong: row.way,
        heavy: row.way,
        ends: false,
        children: row.children.iter().map(|child| block(child, words)).collect(),
    }
}
