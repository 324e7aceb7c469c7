//! Patterns and frames of blocks, for black ink.

use maud::{Markup, html};

use super::svg::at;

/// Half the stroke of a heavy frame, which lies inside its block: a narrow one leaves room
/// for a label.
pub fn half_frame(width: f64, height: f64) -> f64 {
    if width.min(height) < 24.0 { 0.8 } else { 1.5 }
}

/// What a block is filled with.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fill {
    /// Nothing.
    Plain,
    /// Slanted lines.
    Hatched,
    /// Dots.
    Dotted,
    /// Lines both ways.
    Crossed,
}

/// A sign of the key.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sign {
    /// A block filled so.
    Filled(Fill),
    /// A block with a heavy frame.
    Heavy(Fill),
}

impl Sign {
    /// The sign with its upper left corner there.
    pub fn drawn(self, x: f64, y: f64) -> Markup {
        let (fill, heavy) = match self {
            Sign::Filled(fill) => (fill, false),
            Sign::Heavy(fill) => (fill, true),
        };
        block_frame([x, y, 24.0, 15.0], fill, heavy)
    }

    /// The sign beside words of a page.
    pub fn key(self) -> Markup {
        html! {
            svg.legend viewBox="0 0 26 17" width="26" height="17" aria-hidden="true" {
                (self.drawn(1.0, 1.0))
            }
        }
    }
}

/// The frame of a block at x, y, with its width and height. A heavy one lies inside, so that it
/// stays clear of its neighbours.
pub fn block_frame([x, y, width, height]: [f64; 4], fill: Fill, heavy: bool) -> Markup {
    let frame = half_frame(width, height);
    let thin = heavy && width < 4.0 * frame;
    html! {
        rect x=(at(x)) y=(at(y)) width=(at(width)) height=(at(height)) fill=(if thin { "#000" } else { fill.paint() })
            stroke=(if thin { "none" } else { "#000" }) stroke-width="1" {}
        @if heavy && !thin {
            rect x=(at(x + frame)) y=(at(y + frame)) width=(at(width - 2.0 * frame))
                height=(at(height - 2.0 * frame)) fill="none" stroke="#000" stroke-width=(2.0 * frame) {}
        }
    }
}

impl Fill {
    fn paint(self) -> &'static str {
        match self {
            Fill::Plain => "#fff",
            Fill::Hatched => "url(#hatched)",
            Fill::Dotted => "url(#dotted)",
            Fill::Crossed => "url(#crossed)",
        }
    }
}

/// The patterns that the figures of a page refer to.
pub fn shared_patterns() -> Markup {
    html! {
        svg.shared width="0" height="0" aria-hidden="true" focusable="false" { (patterns()) }
    }
}

pub fn patterns() -> Markup {
    html! {
        defs {
            pattern id="hatched" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)" {
                rect width="6" height="6" fill="#fff" {}
                path d="M1 0V6" stroke="#000" stroke-width="1.4" {}
            }
            pattern id="crossed" width="7" height="7" patternUnits="userSpaceOnUse" patternTransform="rotate(45)" {
                rect width="7" height="7" fill="#fff" {}
                path d="M1 0V7M0 1H7" stroke="#000" stroke-width="1.6" {}
            }
            pattern id="dotted" width="6" height="6" patternUnits="userSpaceOnUse" {
                rect width="6" height="6" fill="#fff" {}
                circle cx="3" cy="3" r="1" {}
            }
        }
    }
}
