//! Icicle charts: shares of shares as rows of blocks, each below the one that it is a part of.
//!
//! Nothing here knows chess. Blocks differ by stroke and pattern and not by colour, so that a picture can be printed in black
//! and photocopied; a label is written where it fits, along the block or up it, and every block has its words as alternative
//! text.

use maud::{Markup, PreEscaped, html};

use super::svg::{XML, at};

/// What a block is filled with.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fill {
    /// Nothing.
    Plain,
    /// Slanted lines.
    Hatched,
    /// Dots.
    Dotted,
}

/// A part of the block above it.
#[derive(Clone, Debug, PartialEq)]
pub struct Block {
    /// A word.
    pub label: String,
    /// A second, smaller word.
    pub detail: String,
    /// What the block says, in a sentence.
    pub words: String,
    /// Its share of the whole; those of the blocks below it add up to no more.
    pub share: f64,
    /// How it is filled.
    pub fill: Fill,
    /// Whether its label is bold.
    pub strong: bool,
    /// Whether it ends in a thick stroke: nothing is meant to follow.
    pub ends: bool,
    /// Its parts, from left to right.
    pub children: Vec<Block>,
}

/// A whole picture.
#[derive(Clone, Debug, PartialEq)]
pub struct Icicle {
    /// What it shows.
    pub title: String,
    /// The same at length, for whoever cannot see it.
    pub description: String,
    /// Lines above the chart.
    pub head: Vec<String>,
    /// What the patterns mean.
    pub key: Vec<(Fill, String)>,
    /// Names of the rows, from the top; more than there are rows do no harm.
    pub rows: Vec<String>,
    /// The blocks of the first row.
    pub blocks: Vec<Block>,
}

const WIDTH: f64 = 1000.0;
const LEFT: f64 = 46.0;
const RIGHT: f64 = 10.0;
const ROW: f64 = 40.0;
const LINE: f64 = 20.0;
/// Sizes of a label, a detail, and a label that goes up.
const LABEL: f64 = 14.0;
const DETAIL: f64 = 11.0;
const UPWARD: f64 = 12.0;
/// The width of a letter in its size: more than that of most, so that words never collide.
const LETTER: f64 = 0.62;
/// Blocks that are narrower than this are left blank.
const NARROWEST: f64 = 0.6;

impl Icicle {
    /// The picture as a document of its own.
    pub fn document(&self) -> String {
        let depth = self.blocks.iter().map(Block::depth).max().unwrap_or(0);
        let top = LINE * (self.head.len() as f64 + 1.0) + 24.0;
        let height = (top + ROW * depth as f64 + 12.0).round();
        let picture = html! {
            (PreEscaped(XML))
            svg xmlns="http://www.w3.org/2000/svg" viewBox=(format!("0 0 {WIDTH} {height}")) width=(WIDTH)
                height=(height) role="img" aria-labelledby="title description"
                font-family="sans-serif" fill="#000" stroke="none" {
                title id="title" { (self.title) }
                desc id="description" { (self.description) }
                (patterns())
                rect width=(WIDTH) height=(height) fill="#fff" {}
                @for (line, text) in self.head.iter().enumerate() {
                    text x="10" y=(LINE * (line as f64 + 1.0)) font-size="15"
                        font-weight=(if line == 0 { "bold" } else { "normal" }) { (text) }
                }
                (self.legend(LINE * (self.head.len() as f64) + 10.0))
                @for (row, name) in self.rows.iter().take(depth).enumerate() {
                    text x=(LEFT - 8.0) y=(top + ROW * row as f64 + ROW / 2.0 + 5.0)
                        text-anchor="end" font-size="13" { (name) }
                }
                (row(&self.blocks, LEFT, top))
            }
        };
        picture.into_string() + "\n"
    }

    fn legend(&self, y: f64) -> Markup {
        let mut x = 10.0;
        let places: Vec<f64> = self
            .key
            .iter()
            .map(|(_, words)| {
                let here = x;
                x += 40.0 + width(words, 13.0);
                here
            })
            .collect();
        html! {
            @for ((fill, words), x) in self.key.iter().zip(places) {
                rect x=(at(x)) y=(at(y)) width="24" height="15" fill=(fill.paint()) stroke="#000" {}
                text x=(at(x + 30.0)) y=(at(y + 12.5)) font-size="13" { (words) }
            }
        }
    }
}

impl Block {
    fn depth(&self) -> usize {
        1 + self.children.iter().map(Block::depth).max().unwrap_or(0)
    }

    fn width(&self) -> f64 {
        self.share * (WIDTH - LEFT - RIGHT)
    }

    fn drawn(&self, x: f64, y: f64) -> Markup {
        let (left, right) = (at(x), at(x + self.width()));
        let below = y + ROW;
        html! {
            g {
                title { (self.words) }
                rect x=(left) y=(at(y)) width=(at(right - left)) height=(ROW) fill=(self.fill.paint())
                    stroke="#000" stroke-width="1" {}
                @if self.ends {
                    path d=(format!("M{left} {}H{right}", at(below - 1.5))) stroke="#000" stroke-width="4" {}
                }
                (self.labelled(x, y))
            }
            (row(&self.children, x, below))
        }
    }

    /// The label along the block, up it, or not at all.
    fn labelled(&self, x: f64, y: f64) -> Markup {
        let (middle, room) = (x + self.width() / 2.0, self.width() - 6.0);
        let weight = if self.strong { "bold" } else { "normal" };
        let along = width(&self.label, LABEL);
        let up = width(&self.label, UPWARD);
        let detailed = !self.detail.is_empty() && width(&self.detail, DETAIL) <= room;
        let clear = self.fill != Fill::Plain;
        if self.label.is_empty() {
            return html! {};
        }
        if along <= room {
            let baseline = y + if detailed { 17.0 } else { 25.0 };
            let wide = if detailed { along.max(width(&self.detail, DETAIL)) } else { along };
            return html! {
                @if clear {
                    (blank(middle - wide / 2.0, y + 4.0, wide, ROW - 8.0))
                }
                text x=(at(middle)) y=(at(baseline)) text-anchor="middle" font-size=(LABEL)
                    font-weight=(weight) { (self.label) }
                @if detailed {
                    text x=(at(middle)) y=(at(y + 32.0)) text-anchor="middle" font-size=(DETAIL) {
                        (self.detail)
                    }
                }
            };
        }
        if up <= ROW - 4.0 && self.width() >= UPWARD + 3.0 {
            let centre = y + ROW / 2.0;
            let (x, y) = (at(middle + UPWARD * 0.36), at(centre));
            return html! {
                @if clear {
                    (blank(middle - UPWARD / 2.0, centre - up / 2.0, UPWARD, up))
                }
                text x=(x) y=(y) transform=(format!("rotate(-90 {x} {y})")) text-anchor="middle"
                    font-size=(UPWARD) font-weight=(weight) { (self.label) }
            };
        }
        html! {}
    }
}

/// Blocks side by side.
fn row(blocks: &[Block], x: f64, y: f64) -> Markup {
    let mut left = x;
    let places: Vec<f64> = blocks
        .iter()
        .map(|block| {
            let here = left;
            left += block.width();
            here
        })
        .collect();
    html! {
        @for (block, x) in blocks.iter().zip(places) {
            @if block.width() >= NARROWEST { (block.drawn(x, y)) }
        }
    }
}

impl Fill {
    fn paint(self) -> &'static str {
        match self {
            Fill::Plain => "#fff",
            Fill::Hatched => "url(#hatched)",
            Fill::Dotted => "url(#dotted)",
        }
    }
}

fn patterns() -> Markup {
    html! {
        defs {
            pattern id="hatched" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)" {
                rect width="6" height="6" fill="#fff" {}
                path d="M1 0V6" stroke="#000" stroke-width="1.4" {}
            }
            pattern id="dotted" width="6" height="6" patternUnits="userSpaceOnUse" {
                rect width="6" height="6" fill="#fff" {}
                circle cx="3" cy="3" r="1" {}
            }
        }
    }
}

/// Room for a label on a pattern.
fn blank(x: f64, y: f64, width: f64, height: f64) -> Markup {
    html! { rect x=(at(x - 2.0)) y=(at(y)) width=(at(width + 4.0)) height=(at(height)) fill="#fff" {} }
}

fn width(words: &str, size: f64) -> f64 {
    words.chars().count() as f64 * size * LETTER
}

#[cfg(test)]
mod tests {
    use super::*;

    fn block(label: &str, share: f64, children: Vec<Block>) -> Block {
        let (fill, strong, ends) = (Fill::Plain, false, children.is_empty());
        let words = format!("{label}, {share}");
        let (label, detail) = (label.to_owned(), format!("{} %", 100.0 * share));
        Block { label, detail, words, share, fill, strong, ends, children }
    }

    fn picture(blocks: Vec<Block>) -> String {
        let text = |words: &str| words.to_owned();
        Icicle {
            title: text("A <title>"),
            description: text("Words"),
            head: vec![text("Head")],
            key: vec![(Fill::Hatched, text("none"))],
            rows: vec![text("1."), text("2."), text("3.")],
            blocks,
        }
        .document()
    }

    #[test]
    fn blocks_stand_below_what_they_are_a_part_of_and_labels_within_them() {
        let svg = picture(vec![
            block("wide", 0.5, vec![block("left", 0.25, vec![]), block("tall", 0.02, vec![])]),
            block("no room for this", 0.01, vec![]),
        ]);
        // 944 units are the whole: 472 from 46 on, and half of that below it.
        assert!(svg.contains("<rect x=\"46\" y=\"64\" width=\"472\" height=\"40\""), "{svg}");
        assert!(svg.contains("<rect x=\"46\" y=\"104\" width=\"236\" height=\"40\""), "{svg}");
        assert!(svg.contains("rotate(-90") && svg.contains("25 %"), "{svg}");
        assert!(
            !svg.contains("<text x=\"522.7\"") && svg.contains("no room for this, 0.01"),
            "{svg}"
        );
        assert!(svg.contains("A &lt;title&gt;") && svg.contains("<desc id=\"description\">Words"));
        // The third row has no blocks, so it has no name.
        assert!(svg.contains(">2.<") && !svg.contains(">3.<"), "{svg}");
    }

    #[test]
    fn a_picture_without_blocks_is_one() {
        let svg = picture(vec![]);
        assert!(svg.starts_with("<?xml") && svg.trim_end().ends_with("</svg>"), "{svg}");
    }
}
