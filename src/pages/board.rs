//! A board drawn in text.

use shakmaty::Color;

/// With which signs a board is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BoardStyle {
    /// Figurines.
    Unicode,
    /// Letters, upper case for White.
    Ascii,
}

/// The board of a FEN with its coordinates, `below` at the near side; empty for a text
/// that is no FEN.
pub(super) fn board(fen: &str, below: Color, style: BoardStyle) -> String {
    let placement = fen.split(' ').next().unwrap_or_default();
    let mut ranks: Vec<Vec<char>> = placement.split('/').map(squares).collect();
    if ranks.len() != 8 || ranks.iter().any(|rank| rank.len() != 8) {
        return String::new();
    }
    let mut files: Vec<char> = ('a'..='h').collect();
    let mut numbers: Vec<char> = ('1'..='8').rev().collect();
    if below.is_black() {
        ranks.reverse();
        ranks.iter_mut().for_each(|rank| rank.reverse());
        files.reverse();
        numbers.reverse();
    }
    let spaced = |signs: &[char]| signs.iter().map(char::to_string).collect::<Vec<_>>().join(" ");
    let mut page = String::new();
    for (number, rank) in numbers.into_iter().zip(ranks) {
        let signs: Vec<char> = rank.into_iter().map(|piece| sign(piece, style)).collect();
        page += &format!("    {number}  {}\n", spaced(&signs));
    }
    page + &format!("\n       {}\n", spaced(&files))
}

/// The squares of a rank, `.` where nothing stands.
fn squares(rank: &str) -> Vec<char> {
    let squares = rank.chars().flat_map(|c| match c.to_digit(10) {
        Some(empty) => std::iter::repeat_n('.', empty as usize),
        None => std::iter::repeat_n(c, 1),
    });
    squares.collect()
}

fn sign(piece: char, style: BoardStyle) -> char {
    const FIGURINES: [(char, char); 13] = [
        ('K', '♔'),
        ('Q', '♕'),
        ('R', '♖'),
        ('B', '♗'),
        ('N', '♘'),
        ('P', '♙'),
        ('k', '♚'),
        ('q', '♛'),
        ('r', '♜'),
        ('b', '♝'),
        ('n', '♞'),
        ('p', '♟'),
        ('.', '·'),
    ];
    let known = FIGURINES.iter().find(|(letter, _)| *letter == piece);
    match (style, known) {
        (BoardStyle::Unicode, Some(&(_, figurine))) => figurine,
        _ => piece,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const FEN: &str = "rn1qkbnr/ppp2p1p/3p2p1/4N3/2B1P1b1/2N5/PPPP1PPP/R1BQK2R b KQkq - 0 5";

    #[test]
    fn letters_show_the_board_from_whites_side() {
        insta::assert_snapshot!(board(FEN, Color::White, BoardStyle::Ascii), @"
            8  r n . q k b n r
            7  p p p . . p . p
            6  . . . p . . p .
            5  . . . . N . . .
            4  . . B . P . b .
            3  . . N . . . . .
            2  P P P P . P P P
            1  R . B Q K . . R

               a b c d e f g h
        ");
    }

    #[test]
    fn figurines_show_it_from_blacks_side() {
        let page = board(FEN, Color::Black, BoardStyle::Unicode);
        assert_eq!(page.lines().next(), Some("    1  ♖ · · ♔ ♕ ♗ · ♖"));
        assert_eq!(page.lines().last(), Some("       h g f e d c b a"));
    }

    #[test]
    fn what_is_no_fen_has_no_board() {
        assert_eq!(board("8/8", Color::White, BoardStyle::Ascii), "");
    }
}
