//! Diagrams in the manner of printed books: dark squares hatched, coordinates outside, a mark for
//! the side to move, the last move framed.

use maud::{Markup, PreEscaped, html};
use shakmaty::{Chess, Color, File, Move, Piece, Position, Rank, Role, Square};

use super::pieces;
use crate::pages::languages::{Language, text_of};
use crate::pages::svg::XML;

/// Side of a square.
const SQUARE: u32 = 100;
/// Where the board begins, from the left and from the top.
const LEFT: u32 = 62;
const TOP: u32 = 12;
/// Side of the board.
const BOARD: u32 = 8 * SQUARE;
/// Size of the picture.
const WIDTH: u32 = LEFT + BOARD + 78;
const HEIGHT: u32 = TOP + BOARD + 66;

/// A position to be drawn.
#[derive(Clone, Debug)]
pub struct Diagram {
    /// The position.
    pub position: Chess,
    /// The move that led to it.
    pub last: Option<Move>,
    /// Whose side is at the bottom.
    pub bottom: Color,
}

impl Diagram {
    /// The position after a move, seen from White's side.
    pub fn after(position: &Chess, last: Option<Move>) -> Diagram {
        Diagram { position: position.clone(), last, bottom: Color::White }
    }

    /// The file as a document of its own.
    pub fn document(&self, words: &Language) -> String {
        html! { (PreEscaped(XML)) (self.embedded(words)) }.into_string() + "\n"
    }

    /// The picture whole, for a page that has no drawings to share.
    pub(super) fn embedded(&self, words: &Language) -> Markup {
        let piece = |piece, x: u32, y: u32| {
            html! { g transform=(format!("translate({x} {y})")) { (pieces::drawing(piece)) } }
        };
        let alt = self.alternative(words);
        html! {
            svg xmlns="http://www.w3.org/2000/svg" viewBox=(view_box()) width=(WIDTH / 2)
                height=(HEIGHT / 2) role="img" {
                title { (alt) }
                rect width=(WIDTH) height=(HEIGHT) fill="#fff" {}
                (empty_board())
                (self.contents(piece))
            }
        }
    }

    /// The picture within a page that has the [`shared_drawings`].
    pub(in crate::pages) fn figure(&self, words: &Language) -> Markup {
        let piece = |piece, x: u32, y: u32| {
            html! { use href=(format!("#{}", pieces::id(piece))) x=(x) y=(y) {} }
        };
        html! {
            svg.board viewBox=(view_box()) role="img" aria-label=(self.alternative(words)) {
                use href="#board" {}
                (self.contents(piece))
            }
        }
    }

    /// The position in words: the pieces of both sides, who is to move, the last move.
    pub(super) fn alternative(&self, words: &Language) -> String {
        let side = |color: Color| {
            let order =
                [Role::King, Role::Queen, Role::Rook, Role::Bishop, Role::Knight, Role::Pawn];
            let squares = |role| {
                let squares = self.position.board().by_piece(Piece { color, role });
                let list: Vec<String> =
                    squares.into_iter().map(|square| square.to_string()).collect();
                let name = words.role(role, list.len());
                (!list.is_empty()).then(|| format!("{name} {}", list.join(" ")))
            };
            let pieces: Vec<String> = order.into_iter().filter_map(squares).collect();
            format!("{}{}{}.", words.side_alone(color), words.colon, pieces.join(", "))
        };
        let turn = match self.position.is_checkmate() {
            true => words.mates.to_owned(),
            false => text_of(&words.to_move(self.position.turn())) + ".",
        };
        let mut parts = vec![side(Color::White), side(Color::Black), turn];
        if let Some((from, to)) = self.last.and_then(ends) {
            parts.push(text_of(&words.last_move(&from.to_string(), &to.to_string())));
        }
        parts.join(" ")
    }

    fn contents(&self, piece: impl Fn(Piece, u32, u32) -> Markup) -> Markup {
        let last = self.last.and_then(ends);
        html! {
            @for place in 0..8 { (self.coordinates(place)) }
            @if let Some((from, to)) = last {
                (self.frame(from, "14 10"))
                (self.frame(to, "none"))
            }
            @for (square, standing) in self.position.board().clone() {
                @let (x, y) = self.corner(square);
                (piece(standing, x, y))
            }
            @if !self.position.is_checkmate() { (self.turn()) }
        }
    }

    /// The upper left corner of a square.
    fn corner(&self, square: Square) -> (u32, u32) {
        let (file, rank) = (u32::from(square.file()), u32::from(square.rank()));
        let (column, row) = self.bottom.fold_wb((file, 7 - rank), (7 - file, rank));
        (LEFT + SQUARE * column, TOP + SQUARE * row)
    }

    /// Letter and digit of one column and one row, counted from the upper left corner.
    fn coordinates(&self, place: u32) -> Markup {
        let seen = |place: u32| self.bottom.fold_wb(place, 7 - place);
        let middle = SQUARE * place + SQUARE / 2;
        html! {
            text x=(LEFT + middle) y=(HEIGHT - 14) font-size="38" text-anchor="middle"
                font-family="sans-serif" { (File::new(seen(place)).char()) }
            text x=(LEFT / 2 - 4) y=(TOP + middle + 13) font-size="38" text-anchor="middle"
                font-family="sans-serif" { (Rank::new(7 - seen(place)).char()) }
        }
    }

    /// The frame inside a square: broken where the piece came from, whole where it stands.
    fn frame(&self, square: Square, dashes: &str) -> Markup {
        let (x, y) = self.corner(square);
        html! {
            rect x=(x + 6) y=(y + 6) width="88" height="88" fill="#fff" stroke="#fff" stroke-width="12" {}
            rect x=(x + 6) y=(y + 6) width="88" height="88" fill="none" stroke="#000" stroke-width="7"
                stroke-dasharray=(dashes) {}
        }
    }

    /// A triangle beside the side to move, open for White and filled for Black.
    fn turn(&self) -> Markup {
        let turn = self.position.turn();
        let (left, right, middle) = (LEFT + BOARD + 22, LEFT + BOARD + 66, LEFT + BOARD + 44);
        let (base, tip) = match turn == self.bottom {
            true => (TOP + BOARD - 4, TOP + BOARD - 48),
            false => (TOP + 4, TOP + 48),
        };
        let path = format!("M{left} {base}H{right}L{middle} {tip}z");
        let inside = turn.fold_wb("#fff", "#000");
        html! { path d=(path) fill=(inside) stroke="#000" stroke-width="6" stroke-linejoin="round" {} }
    }
}

/// The drawings that the figures of a page refer to: the empty board and the pieces.
pub(super) fn shared_drawings() -> Markup {
    html! {
        svg.shared width="0" height="0" aria-hidden="true" focusable="false" {
            defs {
                g id="board" { (empty_board()) }
                @for piece in pieces::all() {
                    g id=(pieces::id(piece)) { (pieces::drawing(piece)) }
                }
            }
        }
    }
}

fn view_box() -> String {
    format!("0 0 {WIDTH} {HEIGHT}")
}

/// White paper, hatched dark squares, a frame.
fn empty_board() -> Markup {
    html! {
        rect x=(LEFT) y=(TOP) width=(BOARD) height=(BOARD) fill="#fff" {}
        path d=(hatching()) stroke="#000" stroke-width="2.2" fill="none" {}
        rect x=(LEFT - 4) y=(TOP - 4) width=(BOARD + 8) height=(BOARD + 8) fill="none" stroke="#000"
            stroke-width="8" {}
    }
}

/// Lines from lower left to upper right in the dark squares.
fn hatching() -> String {
    const STEP: u32 = 13;
    let mut path = String::new();
    for (row, column) in (0..8).flat_map(|row| (0..8).map(move |column| (row, column))) {
        if (row + column) % 2 == 0 {
            continue;
        }
        let (x, y) = (LEFT + SQUARE * column, TOP + SQUARE * row);
        // Each line is x + y = sum, cut at the sides of the square.
        for sum in (STEP / 2..2 * SQUARE).step_by(STEP as usize) {
            let low = sum.saturating_sub(SQUARE);
            let high = sum.min(SQUARE);
            path += &format!("M{} {}L{} {}", x + low, y + high, x + high, y + low);
        }
    }
    path
}

/// From and to; castling as the king's move.
fn ends(mv: Move) -> Option<(Square, Square)> {
    let to = match mv {
        Move::Castle { king, rook } => {
            let file = if rook > king { File::G } else { File::C };
            Square::from_coords(file, king.rank())
        }
        mv => mv.to(),
    };
    Some((mv.from()?, to))
}
