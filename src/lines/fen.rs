//! A position from its FEN.

use shakmaty::fen::{Fen, ParseFenError};
use shakmaty::{CastlingMode, Chess, PositionErrorKinds};

/// More than any game has, of moves and of half-moves without a capture.
const MOST_MOVES: u32 = 9_999;

/// The position of a FEN of standard chess, or what is wrong with it.
pub(super) fn position_of(fen: &str) -> Result<Chess, String> {
    let fields = fen.split_whitespace().count();
    if fields < 4 {
        return Err(format!(
            "it has {fields} of the fields board, side to move, castling rights, en passant square"
        ));
    }
    let one_line = fen.split_whitespace().collect::<Vec<_>>().join(" ");
    let fen = Fen::from_ascii(one_line.as_bytes()).map_err(|error| unreadable(&error))?;
    let counters = [
        ("half-move clock", fen.as_setup().halfmoves),
        ("move number", fen.as_setup().fullmoves.get()),
    ];
    if let Some((counter, _)) = counters.iter().find(|(_, number)| *number > MOST_MOVES) {
        return Err(format!("its {counter} is above {MOST_MOVES}"));
    }
    fen.into_position(CastlingMode::Standard)
        .map_err(|error: shakmaty::PositionError<Chess>| impossible(error.kinds()))
}

fn unreadable(error: &ParseFenError) -> String {
    let part = match error {
        ParseFenError::InvalidBoard | ParseFenError::InvalidPocket => "board",
        ParseFenError::InvalidTurn => "side to move (w or b)",
        ParseFenError::InvalidCastling => "castling rights",
        ParseFenError::InvalidEpSquare => "en passant square",
        ParseFenError::InvalidHalfmoveClock => "half-move clock",
        ParseFenError::InvalidFullmoves => "move number",
        _ => "number of fields",
    };
    format!("its {part} cannot be read")
}

fn impossible(kinds: PositionErrorKinds) -> String {
    let reasons = [
        (PositionErrorKinds::EMPTY_BOARD, "the board is empty"),
        (PositionErrorKinds::MISSING_KING, "a king is missing"),
        (PositionErrorKinds::TOO_MANY_KINGS, "a side has several kings"),
        (PositionErrorKinds::PAWNS_ON_BACKRANK, "a pawn is on the first or last rank"),
        (PositionErrorKinds::INVALID_CASTLING_RIGHTS, "castling rights need king and rook at home"),
        (
            PositionErrorKinds::INVALID_EP_SQUARE,
            "no pawn can just have passed the en passant square",
        ),
        (PositionErrorKinds::OPPOSITE_CHECK, "the side that is not to move is in check"),
        (PositionErrorKinds::IMPOSSIBLE_CHECK, "no move can have given this check"),
        (PositionErrorKinds::TOO_MUCH_MATERIAL, "a side has more pieces than a game can give it"),
    ];
    let named = reasons.into_iter().filter(|&(kind, _)| kinds.contains(kind)).map(|(_, why)| why);
    named.collect::<Vec<_>>().join("; ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_impossible_position_says_why() {
        let reason = |fen: &str| position_of(fen).expect_err("no position");
        assert_eq!(reason("8/8/8/8/8/8/8/K7 w - - 0 1"), "a king is missing");
        assert_eq!(
            reason("k6R/8/8/8/8/8/8/K7 w - - 0 1"),
            "the side that is not to move is in check"
        );
        assert_eq!(
            reason("k7/8/8/8/8/8/8/K7 w KQ - 0 1"),
            "castling rights need king and rook at home"
        );
        assert_eq!(reason("k7/9/8/8/8/8/8/K7 w - - 0 1"), "its board cannot be read");
        for (counters, said) in [
            ("0 99999999999", "its move number is above 9999"),
            ("0 4294967297", "its move number is above 9999"),
            ("0 18446744073709551617", "its move number is above 9999"),
            ("10000 1", "its half-move clock is above 9999"),
        ] {
            assert_eq!(reason(&format!("k7/8/8/8/8/8/8/K7 w - - {counters}")), said);
        }
    }
}
