//! The picture of the way: where games go from the first move to the slip.
//!
//! Below the moves of a position stand those behind the trap's own. Where that gets narrow it is
//! drawn again over the whole width, so that every step can be read, however rare the trap is.

use maud::{Markup, html};

use super::figure::{Unit, markup};
use super::numbered;
use crate::answers::lesson::Material;
use crate::answers::steps::{Step, StepMove};
use crate::pages::icicle::{Block, Icicle, Shape, Zoom};
use crate::pages::languages::{Language, text_of};
use crate::pages::patterns::{Fill, Sign};
use crate::terms::MoverFilter;

/// A way of so many half-moves has two lines a row, a longer one has one. Printed in its column on
/// A4 a unit is a point and a little more, so that no letter is smaller than eight points.
const SHORT: usize = 7;
const TWO_LINES: Shape = Shape { width: 240.0, left: 104.0, row: 20.0, label: 9.0, detail: 7.9 };
const ONE_LINE: Shape = Shape { width: 240.0, left: 136.0, row: 12.0, label: 8.2, detail: 7.9 };
/// A part of the width that is narrower is drawn again over the whole of it.
const NARROW: f64 = 0.3;
/// Moves of a smaller part of it are taken together.
const ALONE: f64 = 0.05;

/// The picture with its caption; nothing where no game shows a move of the way.
pub(super) fn way(
    material: &Material,
    number: usize,
    level: MoverFilter,
    words: &Language,
) -> Markup {
    let steps = &material.steps;
    if steps.is_empty() {
        return Markup::default();
    }
    let line = material.trap.line();
    let named = |(ply, step): (usize, &Step)| {
        [words.san(&numbered(line, ply)).to_string(), share_of(&step.moves[0], words)]
    };
    let rows: Vec<[String; 2]> = steps.iter().enumerate().map(named).collect();
    let told: Vec<String> = rows.iter().map(|row| row.join(words.colon)).collect();
    let shape = match rows.len() <= SHORT {
        true => TWO_LINES,
        false => ONE_LINE,
    };
    let mut parts = parts(steps);
    let first = parts.remove(0);
    let zoom = |part: Part<'_>| Zoom { from: part.from, blocks: blocks(part.steps, 1.0, words) };
    let picture = Icicle {
        title: text_of(&words.way_title(level)),
        description: format!("{}.", told.join(words.semicolon)),
        head: Vec::new(),
        key: Vec::new(),
        blocks: blocks(first.steps, 1.0, words),
        zooms: parts.into_iter().map(zoom).collect(),
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
                @if !picture.zooms.is_empty() { (words.way_zoom) " " }
                span.key { (Sign::Heavy(Fill::Plain).key()) (words.way_key) }
                @if steps.last().is_some_and(|step| step.moves[0].slip) {
                    " " span.key { (Sign::Heavy(Fill::Crossed).key()) (words.way_slip) }
                }
            }
        }
    }
}

/// Steps that share a width, and which part of the width above they are.
struct Part<'a> {
    from: f64,
    steps: &'a [Step],
}

fn parts(steps: &[Step]) -> Vec<Part<'_>> {
    let mut parts = Vec::new();
    let (mut start, mut from, mut wide) = (0, 1.0, 1.0);
    for (place, step) in steps.iter().enumerate() {
        wide *= step.moves[0].share;
        let next = place + 1;
        if wide < NARROW && next < steps.len() {
            parts.push(Part { from, steps: &steps[start..next] });
            (start, from, wide) = (next, wide, 1.0);
        }
    }
    parts.push(Part { from, steps: &steps[start..] });
    parts
}

/// The blocks of the first of these steps, the others below its own.
fn blocks(steps: &[Step], wide: f64, words: &Language) -> Vec<Block> {
    let Some((step, rest)) = steps.split_first() else { return Vec::new() };
    let (own, others) = step.moves.split_first().expect("the line's own move");
    let alone = |mv: &&StepMove| mv.slip || mv.share * wide >= ALONE;
    let (shown, few): (Vec<&StepMove>, Vec<&StepMove>) = others.iter().partition(alone);
    let children = blocks(rest, wide * own.share, words);
    let own = Block { heavy: true, strong: true, children, ..block(own, wide, words) };
    let shown = shown.into_iter().map(|mv| Block {
        heavy: mv.slip,
        strong: mv.slip,
        ..block(mv, wide, words)
    });
    let share = few.iter().map(|mv| mv.share).sum::<f64>() * wide;
    let label = match few.as_slice() {
        [one] => words.san(&one.san).to_string(),
        few => words.more(few.len() as u64),
    };
    let few = (!few.is_empty()).then(|| Block { words: label.clone(), share, ..plain(label) });
    std::iter::once(own).chain(shown).chain(few).collect()
}

fn plain(label: String) -> Block {
    Block {
        words: String::new(),
        label,
        detail: String::new(),
        share: 0.0,
        fill: Fill::Plain,
        strong: false,
        heavy: false,
        ends: false,
        tag: String::new(),
        children: Vec::new(),
    }
}

fn block(mv: &StepMove, wide: f64, words: &Language) -> Block {
    let label = words.san(&mv.san).to_string();
    Block {
        words: format!("{label}{}{}", words.colon, share_of(mv, words)),
        share: mv.share * wide,
        fill: if mv.slip { Fill::Crossed } else { Fill::Plain },
        ..plain(label)
    }
}

/// `44 % [35, 54] of 219`; a thin share has its count in any case.
fn share_of(mv: &StepMove, words: &Language) -> String {
    let share = markup(&mv.here, Unit::Percent, words);
    text_of(&match mv.here.value {
        None => share,
        Some(_) => words.of_games(share, html! { (words.count(mv.here.n)) }),
    })
}
