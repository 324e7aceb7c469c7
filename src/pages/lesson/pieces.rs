//! The chess pieces, drawn as paths on a square of 100 x 100 units, y downwards.
//!
//! Each piece is an outline and a few inner lines. White's are white with black lines, Black's
//! are black with white lines, so that nothing depends on colour; a white rim parts both from the
//! hatching of dark squares.

use maud::{Markup, html};
use shakmaty::{Color, Piece, Role};

/// Width of the outline.
const LINE: &str = "4";
/// Width of the white rim under the outline.
const RIM: &str = "11";

struct Shape {
    outline: &'static str,
    /// Lines inside, drawn in the other colour on black pieces.
    lines: &'static str,
}

const PAWN: Shape = Shape {
    outline: "M50 19a13.5 13.5 0 0 1 9.3 23.3L67 47v5h-6c1 10 5 17 14 22v12H25V74c9-5 13-12 14-22h-6\
v-5l7.7-4.7A13.5 13.5 0 0 1 50 19z",
    lines: "M39 52h22M28 75h44",
};

const KNIGHT: Shape = Shape {
    outline: "M22 87v-9l8-4c1-10 12-17 15-27-5 4-11 6-16 8l-7 9c-4 2-10-2-10-7 1-6 9-14 12-22 2-6 6-10 11-13\
V11l9 7c2-1 4-1 5-1l4-6 4 8c17 6 26 25 22 55l7 4v9z",
    lines: "M30 74h49M57 26c11 7 16 21 14 40M14.5 58.5l5-2M45 47c3-2 5-5 6-8",
};

const BISHOP: Shape = Shape {
    outline: "M50 9a5.5 5.5 0 0 1 4 9.3C64 25 72 36 72 47c0 8-4 13-10 17l3 10c6 1 14 3 14 13H21c0-10 8-12 14-13l3-10\
c-6-4-10-9-10-17 0-11 8-22 18-28.7A5.5 5.5 0 0 1 50 9z",
    lines: "M38 64h24M35 74h30M50 32v20M42 40h16",
};

const ROOK: Shape = Shape {
    outline: "M22 17h13v8h9v-8h12v8h9v-8h13v18l-9 8 2 26 8 6v12H21V75l8-6 2-26-9-8z",
    lines: "M22 35h56M31 43h38M29 69h42M22 76h56",
};

const QUEEN: Shape = Shape {
    outline: "M28 68L16 37l17 14 1-22 10 20 6-24 6 24 10-20 1 22 17-14-12 31 3 7v12H25V75z\
M8.5 31a5.5 5.5 0 1 0 11 0a5.5 5.5 0 1 0-11 0zM27.5 23a5.5 5.5 0 1 0 11 0a5.5 5.5 0 1 0-11 0z\
M44.5 19a5.5 5.5 0 1 0 11 0a5.5 5.5 0 1 0-11 0zM61.5 23a5.5 5.5 0 1 0 11 0a5.5 5.5 0 1 0-11 0zM80.5 31a5.5 5.5 0 1 0 11 0a5.5 5.5 0 1 0-11 0z",
    lines: "M28 68c14-4 30-4 44 0M25 76h50",
};

const KING: Shape = Shape {
    outline: "M46 6h8v7h7v8h-7v8c2 1 4 4 4 8 8-7 24-6 27 7 2 11-6 18-11 25l3 6v12H23V75l3-6c-5-7-13-14-11-25\
,3-13 19-14 27-7 0-4 2-7 4-8v-8h-7v-8h7z",
    lines: "M50 62c-1-11-3-18-8-25M50 62c1-11 3-18 8-25M28 69c14-5 30-5 44 0M24 76h52",
};

fn shape(role: Role) -> &'static Shape {
    match role {
        Role::Pawn => &PAWN,
        Role::Knight => &KNIGHT,
        Role::Bishop => &BISHOP,
        Role::Rook => &ROOK,
        Role::Queen => &QUEEN,
        Role::King => &KING,
    }
}

/// The piece as SVG elements on its square of 100 x 100.
pub(super) fn drawing(piece: Piece) -> Markup {
    let Shape { outline, lines } = shape(piece.role);
    let (fill, inner) = piece.color.fold_wb(("#fff", "#000"), ("#000", "#fff"));
    html! {
        path d=(outline) fill="#fff" stroke="#fff" stroke-width=(RIM) stroke-linejoin="round" {}
        path d=(outline) fill=(fill) stroke="#000" stroke-width=(LINE) stroke-linejoin="round" {}
        path d=(lines) fill="none" stroke=(inner) stroke-width="3.5" stroke-linecap="round" {}
        @if piece.role == Role::Knight {
            circle cx="36" cy="33" r="2.6" fill=(inner) {}
        }
    }
}

/// The id of the piece among the shared drawings of a page: `wK`, `bN`.
pub(super) fn id(piece: Piece) -> String {
    format!("{}{}", piece.color.fold_wb('w', 'b'), piece.role.upper_char())
}

/// All pieces.
pub(super) fn all() -> impl Iterator<Item = Piece> {
    Color::ALL.into_iter().flat_map(|color| Role::ALL.map(|role| Piece { color, role }))
}
