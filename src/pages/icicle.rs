//! Icicle charts: shares of shares as rows of blocks, each below the one that it is a part of.
//!
//! Nothing here knows chess. Blocks differ by stroke and pattern and not by colour, so that a
//! picture can be printed in black and photocopied; a label is written where it fits, along the
//! block or up it, and every block has its words as alternative text.

use maud::{Markup, PreEscaped, html};

use super::patterns::{Fill, Sign, block_frame, half_frame, patterns};
use super::svg::{XML, at};

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
    /// Whether its frame is heavy; then it is seen however narrow it is.
    pub heavy: bool,
    /// Whether it ends in a thick stroke: nothing is meant to follow.
    pub ends: bool,
    /// What a line from its lower end leads to below the chart, so that it is known however narrow
    /// it is; mostly empty.
    pub tag: String,
    /// Its parts, from left to right.
    pub children: Vec<Block>,
}

/// Sizes of a picture in its own units.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shape {
    /// The whole width.
    pub width: f64,
    /// Where the blocks begin; the names of the rows stand before that.
    pub left: f64,
    /// The height of a row.
    pub row: f64,
    /// The size of a label.
    pub label: f64,
    /// The size of a detail, and of a label that goes up.
    pub detail: f64,
}

impl Shape {
    /// A picture of its own.
    pub const SHEET: Shape =
        Shape { width: 1000.0, left: 46.0, row: 40.0, label: 14.0, detail: 11.0 };
}

/// A narrow part of the rows above, drawn again over the whole width.
#[derive(Clone, Debug, PartialEq)]
pub struct Zoom {
    /// How wide the part is above, from the left; a share of the whole width.
    pub from: f64,
    /// The blocks of its first row; their shares are of the part.
    pub blocks: Vec<Block>,
}

/// A whole picture.
#[derive(Clone, Debug, PartialEq)]
pub struct Icicle {
    /// What it shows.
    pub title: String,
    /// The same at length, for whoever cannot see it.
    pub description: String,
    /// Lines above the chart, the first one bold.
    pub head: Vec<String>,
    /// What the signs mean.
    pub key: Vec<(Sign, String)>,
    /// Names of the rows, from the top, each with a second line or an empty one; more than there
    /// are rows do no harm.
    pub rows: Vec<[String; 2]>,
    /// The blocks of the first row.
    pub blocks: Vec<Block>,
    /// What follows below them.
    pub zooms: Vec<Zoom>,
    /// Lines below the chart.
    pub foot: Vec<String>,
    /// How large it is.
    pub shape: Shape,
}

const RIGHT: f64 = 10.0;
const LINE: f64 = 20.0;
/// Sizes of lines of text, and of the names of the rows and the words of the key.
const TEXT: f64 = 15.0;
const NAME: f64 = 13.0;
/// The room for tags below the chart.
const TAGS: f64 = 36.0;
/// The room between a narrow part and the same over the whole width.
const GAP: f64 = 9.0;
/// The width of a letter in its size: more than that of most, so that words never collide.
const LETTER: f64 = 0.62;
/// The least height of a pattern below a label.
const STRIP: f64 = 9.0;
/// Blocks that are narrower than this are left blank; one with a heavy frame is drawn so wide
/// at the least.
const NARROWEST: f64 = 0.6;
const NARROWEST_HEAVY: f64 = 3.0;

impl Icicle {
    /// The picture as a document of its own.
    pub fn document(&self) -> String {
        let width = self.shape.width;
        let room = width - 20.0;
        let head: Vec<(bool, String)> = self
            .head
            .iter()
            .enumerate()
            .flat_map(|(line, text)| {
                lines(text, room, TEXT).into_iter().map(move |text| (line == 0, text))
            })
            .collect();
        let foot: Vec<String> = self.foot.iter().flat_map(|text| lines(text, room, NAME)).collect();
        let key = self.places_of_key();
        let key_lines = key.last().map_or(0.0, |&(_, line)| line + 1.0);
        let key_top = LINE * head.len() as f64 + 10.0;
        let top = key_top + LINE * key_lines.max(1.0) + 14.0;
        let tags = self.tags(top);
        let below = top + self.tall() + if tags.is_empty() { 0.0 } else { TAGS };
        let height = (below + 12.0 + LINE * foot.len() as f64).round();
        let picture = html! {
            (PreEscaped(XML))
            svg xmlns="http://www.w3.org/2000/svg" viewBox=(format!("0 0 {width} {height}")) width=(width)
                height=(height) role="img" aria-labelledby="title description"
                font-family="sans-serif" fill="#000" stroke="none" {
                title id="title" { (self.title) }
                desc id="description" { (self.description) }
                (patterns())
                rect width=(width) height=(height) fill="#fff" {}
                @for (line, (bold, text)) in head.iter().enumerate() {
                    text x="10" y=(LINE * (line as f64 + 1.0)) font-size=(TEXT)
                        font-weight=(if *bold { "bold" } else { "normal" }) { (text) }
                }
                (self.legend(&key, key_top))
                (self.chart(top))
                (self.flags(tags, top + self.tall()))
                @for (line, text) in foot.iter().enumerate() {
                    text x="10" y=(below + 8.0 + LINE * (line as f64 + 1.0)) font-size=(NAME) { (text) }
                }
            }
        };
        picture.into_string() + "\n"
    }

    /// The chart alone, within a page that has the
    /// [`shared_patterns`](super::patterns::shared_patterns); `id` is that of the picture.
    pub fn figure(&self, id: &str) -> Markup {
        let height = self.tall() + 2.0;
        let [title, description] = ["title", "words"].map(|part| format!("{id}-{part}"));
        html! {
            svg.icicle viewBox=(format!("0 0 {} {height}", self.shape.width)) role="img"
                aria-labelledby=(title) aria-describedby=(description) {
                title id=(title) { (self.title) }
                desc id=(description) { (self.description) }
                rect width=(self.shape.width) height=(height) fill="#fff" {}
                (self.chart(1.0))
            }
        }
    }

    fn chart(&self, top: f64) -> Markup {
        let Shape { width, left, row: tall, .. } = self.shape;
        let drawing = Drawing { shape: self.shape, whole: width - left - RIGHT };
        html! {
            @for ([name, detail], y) in self.rows.iter().zip(self.places(top)) {
                @let middle = y + tall / 2.0;
                @if detail.is_empty() {
                    text x=(left - 8.0) y=(at(middle + 5.0)) text-anchor="end" font-size=(NAME) { (name) }
                } @else if tall < self.shape.label + self.shape.detail + 2.0 {
                    text x=(left - 8.0) y=(at(middle + self.shape.label * 0.36)) text-anchor="end" font-size=(self.shape.label) {
                        tspan font-weight="bold" { (name) } " "
                        tspan font-size=(self.shape.detail) { (detail) }
                    }
                } @else {
                    text x=(left - 8.0) y=(at(middle - 1.0)) text-anchor="end" font-size=(self.shape.label)
                        font-weight="bold" { (name) }
                    text x=(left - 8.0) y=(at(middle + self.shape.detail)) text-anchor="end"
                        font-size=(self.shape.detail) { (detail) }
                }
            }
            (drawing.row(&self.blocks, left, top))
            @for (zoom, y) in self.zooms.iter().zip(self.tops(top)) {
                path d=(format!("M{left} {}V{}M{} {}L{} {}", at(y - GAP), at(y), at(left + zoom.from * drawing.whole),
                    at(y - GAP), at(left + drawing.whole), at(y))) stroke="#000" stroke-width="0.8" stroke-dasharray="3 2" fill="none" {}
                (drawing.row(&zoom.blocks, left, y))
            }
        }
    }

    /// The tags of blocks from left to right, each with the middle of its block's lower end.
    fn tags(&self, top: f64) -> Vec<(f64, f64, &str)> {
        let Shape { width, left, row, .. } = self.shape;
        let mut found = Vec::new();
        collect(&self.blocks, [left, top], [width - left - RIGHT, row], &mut found);
        found.sort_by(|a, b| a.0.total_cmp(&b.0));
        found
    }

    /// Tags side by side below the chart, each with a line from its block.
    fn flags(&self, tags: Vec<(f64, f64, &str)>, below: f64) -> Markup {
        let half = |tag: &str| width(tag, NAME) / 2.0 + 3.0;
        let mut middles: Vec<f64> = tags.iter().map(|(from, ..)| *from).collect();
        let (mut free, mut end) = (0.0_f64, self.shape.width);
        for (middle, (.., tag)) in middles.iter_mut().zip(&tags) {
            *middle = middle.max(free + half(tag));
            free = *middle + half(tag);
        }
        for (middle, (.., tag)) in middles.iter_mut().zip(&tags).rev() {
            *middle = middle.min(end - half(tag));
            end = *middle - half(tag);
        }
        let baseline = below + TAGS - 4.0;
        html! {
            @for ((from, low, tag), middle) in tags.iter().zip(middles) {
                path d=(format!("M{} {}V{}L{} {}", at(*from), at(*low), at(below + 2.0), at(middle), at(baseline - NAME)))
                    stroke="#000" stroke-width="0.8" stroke-dasharray="1 2" fill="none" {}
                text x=(at(middle)) y=(at(baseline)) text-anchor="middle" font-size=(NAME) { (tag) }
            }
        }
    }

    /// Rows of the blocks, then of each part drawn again.
    fn depths(&self) -> impl Iterator<Item = usize> {
        let depth = |blocks: &[Block]| blocks.iter().map(Block::depth).max().unwrap_or(0);
        let zooms = self.zooms.iter().map(move |zoom| depth(&zoom.blocks));
        std::iter::once(depth(&self.blocks)).chain(zooms)
    }

    fn tall(&self) -> f64 {
        self.shape.row * self.depths().sum::<usize>() as f64 + GAP * self.zooms.len() as f64
    }

    /// Where each part that is drawn again begins.
    fn tops(&self, top: f64) -> impl Iterator<Item = f64> {
        let row = self.shape.row;
        self.depths().scan(top, move |y, depth| {
            *y += row * depth as f64 + GAP;
            Some(*y)
        })
    }

    /// Where each row begins.
    fn places(&self, top: f64) -> impl Iterator<Item = f64> {
        let row = self.shape.row;
        let tops = std::iter::once(top).chain(self.tops(top));
        tops.zip(self.depths())
            .flat_map(move |(y, depth)| (0..depth).map(move |place| y + row * place as f64))
    }

    /// Where each entry of the key begins, and in which line.
    fn places_of_key(&self) -> Vec<(f64, f64)> {
        let (mut x, mut line) = (10.0, 0.0);
        let place = |(_, words): &(Sign, String)| {
            let wide = 40.0 + width(words, NAME);
            if x > 10.0 && x + wide > self.shape.width {
                (x, line) = (10.0, line + 1.0);
            }
            let here = (x, line);
            x += wide;
            here
        };
        self.key.iter().map(place).collect()
    }

    fn legend(&self, places: &[(f64, f64)], y: f64) -> Markup {
        html! {
            @for ((sign, words), (x, line)) in self.key.iter().zip(places) {
                @let y = y + LINE * line;
                (sign.drawn(*x, y))
                text x=(at(x + 30.0)) y=(at(y + 12.5)) font-size=(NAME) { (words) }
            }
        }
    }
}

impl Block {
    fn depth(&self) -> usize {
        1 + self.children.iter().map(Block::depth).max().unwrap_or(0)
    }
}

/// The tags of blocks that begin there, of all and of each `[width, height]`.
fn collect<'b>(
    blocks: &'b [Block],
    [x, y]: [f64; 2],
    [whole, row]: [f64; 2],
    found: &mut Vec<(f64, f64, &'b str)>,
) {
    let mut left = x;
    for block in blocks {
        let wide = block.share * whole;
        if !block.tag.is_empty() {
            found.push((left + wide.max(NARROWEST_HEAVY) / 2.0, y + row, block.tag.as_str()));
        }
        collect(&block.children, [left, y + row], [whole, row], found);
        left += wide;
    }
}

/// How blocks become a picture: `whole` is the width of all of them.
struct Drawing {
    shape: Shape,
    whole: f64,
}

impl Drawing {
    /// Blocks side by side, those with heavy frames on top.
    fn row(&self, blocks: &[Block], x: f64, y: f64) -> Markup {
        let mut left = x;
        let mut placed: Vec<(&Block, f64)> = Vec::with_capacity(blocks.len());
        for block in blocks {
            placed.push((block, left));
            left += block.share * self.whole;
        }
        placed.retain(|(block, _)| block.heavy || block.share * self.whole >= NARROWEST);
        placed.sort_by_key(|(block, _)| block.heavy);
        html! { @for (block, x) in placed { (self.block(block, x, y)) } }
    }

    fn block(&self, block: &Block, x: f64, y: f64) -> Markup {
        let width = block.share * self.whole;
        let right = x + if block.heavy { width.max(NARROWEST_HEAVY) } else { width };
        let (left, right, below) = (at(x), at(right), y + self.shape.row);
        html! {
            g {
                title { (block.words) }
                (block_frame([left, at(y), at(right - left), self.shape.row], block.fill, block.heavy))
                @if block.ends {
                    path d=(format!("M{left} {}H{right}", at(below - 1.5))) stroke="#000" stroke-width="4" {}
                }
                (self.label(block, x, y, width))
            }
            (self.row(&block.children, x, below))
        }
    }

    /// The label along the block, up it, or not at all.
    fn label(&self, block: &Block, x: f64, y: f64, wide: f64) -> Markup {
        let Shape { row, label: size, detail: small, .. } = self.shape;
        let upward = small;
        let (middle, room) = (x + wide / 2.0, wide - 6.0);
        let weight = if block.strong { "bold" } else { "normal" };
        let along = width(&block.label, size);
        let up = width(&block.label, upward);
        // Below a label on a pattern so much of it stays to be seen, if there is room.
        let clear = block.fill != Fill::Plain;
        let strip = if clear { (row - size - 3.0).clamp(0.0, STRIP) } else { 0.0 };
        let row = row - strip;
        let two_lines = row >= size + small + 6.0;
        let detailed = two_lines && !block.detail.is_empty() && width(&block.detail, small) <= room;
        if block.label.is_empty() {
            return html! {};
        }
        if along <= room {
            let (first, second) = match clear {
                true => (y + size, y + size + small + 2.0),
                false => (y + size + 3.0, y + size + small + 7.0),
            };
            let baseline = if detailed { first } else { y + row / 2.0 + size * 0.36 };
            let wide = if detailed { along.max(width(&block.detail, small)) } else { along };
            return html! {
                @if clear {
                    (blank(middle - wide / 2.0, y + 2.0, wide, row - 3.0))
                }
                text x=(at(middle)) y=(at(baseline)) text-anchor="middle" font-size=(size)
                    font-weight=(weight) { (block.label) }
                @if detailed {
                    text x=(at(middle)) y=(at(second)) text-anchor="middle" font-size=(small) {
                        (block.detail)
                    }
                }
            };
        }
        let frame = if block.heavy { 4.0 * half_frame(wide, row) } else { 0.0 };
        if up <= row - 4.0 - frame && wide >= upward + 3.0 + frame {
            let centre = y + row / 2.0;
            let (x, y) = (at(middle + upward * 0.36), at(centre));
            return html! {
                @if clear {
                    (blank(middle - upward / 2.0, centre - up / 2.0, upward, up))
                }
                text x=(x) y=(y) transform=(format!("rotate(-90 {x} {y})")) text-anchor="middle"
                    font-size=(upward) font-weight=(weight) { (block.label) }
            };
        }
        html! {}
    }
}

/// Room for a label on a pattern.
fn blank(x: f64, y: f64, width: f64, height: f64) -> Markup {
    html! { rect x=(at(x - 2.0)) y=(at(y)) width=(at(width + 4.0)) height=(at(height)) fill="#fff" {} }
}

/// The room that words take; letters of other scripts may be twice as wide.
pub fn width(words: &str, size: f64) -> f64 {
    let letters: usize = words.chars().map(|letter| 1 + usize::from(letter > '\u{2fff}')).sum();
    letters as f64 * size * LETTER
}

/// A text in lines that are no wider than `room`; a word alone may be.
fn lines(text: &str, room: f64, size: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match lines.last_mut() {
            Some(line) if width(line, size) + width(word, size) + size <= room => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

#[cfg(test)]
#[path = "icicle_tests.rs"]
mod tests;
