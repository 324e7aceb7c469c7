//! One move as a person writes it, and what it could have been when it cannot be played.

use std::fmt;

use shakmaty::san::{San, SanError, SanPlus};
use shakmaty::uci::UciMove;
use shakmaty::{CastlingMode, Chess, Move, Position, Role, Square};

/// More letters than any spelling of a move has.
const LONGEST: usize = 16;
/// How many legal moves an error names at the most.
const NAMED: usize = 6;

/// Why a word is no move of a position.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Misread {
    /// Several legal moves fit; their full spellings in alphabetical order.
    Ambiguous(Vec<String>),
    /// No legal move fits; the nearest ones, and what they have in common ("legal knight moves").
    Illegal {
        /// What `nearest` is a list of.
        what: String,
        /// At most six moves, in the notation of the word.
        nearest: Vec<String>,
    },
    /// No legal move fits, but just one does with the letters of another language; its
    /// English spelling.
    OtherLetters {
        /// As written.
        written: String,
        /// In English letters.
        english: String,
    },
    /// The game is over by checkmate or stalemate.
    Over(&'static str),
}

/// King, queen, rook, bishop, knight in German, Spanish and French (PGN standard, section 17).
const OTHER_LETTERS: [&str; 3] = ["KDTLS", "RDTAC", "RDTFC"];

impl fmt::Display for Misread {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Misread::Ambiguous(moves) => write!(f, "write {}", moves.join(" or ")),
            Misread::Illegal { what, nearest } => write!(f, "{what}: {}", nearest.join(", ")),
            Misread::OtherLetters { written, english } => {
                write!(f, "moves are written with English letters: {english} for {written}")
            }
            Misread::Over(how) => write!(f, "the game is over by {how}"),
        }
    }
}

/// A legal move in standard algebraic notation, with its check sign.
pub fn san_text(position: &Chess, mv: Move) -> String {
    SanPlus::from_move(position.clone(), mv).to_string()
}

/// A word as it is understood.
enum Spelling {
    San(San),
    Uci(UciMove),
}

impl Spelling {
    fn of(written: &str) -> Option<Spelling> {
        if written.len() > LONGEST {
            return None;
        }
        let plain = written.trim_end_matches(['+', '#']);
        let close = without_hyphen(plain);
        let plain = close.as_deref().unwrap_or(plain);
        let bytes = plain.as_bytes();
        let is_square = |at: usize| bytes.get(at..at + 2).and_then(|s| Square::from_ascii(s).ok());
        if matches!(bytes.len(), 4 | 5) && is_square(0).is_some() && is_square(2).is_some() {
            return plain.to_ascii_lowercase().parse().ok().map(Spelling::Uci);
        }
        let castles = plain.replace(['\u{2013}', '\u{2014}'], "-").replace(['0', 'o'], "O");
        let san = if matches!(castles.as_str(), "O-O" | "O-O-O") { &castles } else { plain };
        match san.parse().ok()? {
            San::Put { .. } | San::Null => None,
            san => Some(Spelling::San(san)),
        }
    }
}

/// `d2-d4` and `Ng1-f3` without the hyphen, or dash, between their squares.
fn without_hyphen(written: &str) -> Option<String> {
    let (before, after) = written.split_once(['-', '\u{2013}', '\u{2014}'])?;
    let from = before.len().checked_sub(2).and_then(|at| before.get(at..))?;
    let are_squares =
        [from, after.get(..2)?].iter().all(|square| Square::from_ascii(square.as_bytes()).is_ok());
    are_squares.then(|| format!("{before}{after}"))
}

/// Whether a word looks like a move at all, in whichever letters.
pub(super) fn is_move(written: &str) -> bool {
    let other = || OTHER_LETTERS.into_iter().find_map(|letters| in_english(written, letters));
    Spelling::of(written).is_some() || other().is_some_and(|word| Spelling::of(&word).is_some())
}

/// A word that has its pieces in these letters, in English ones; none if that changes nothing.
fn in_english(written: &str, letters: &str) -> Option<String> {
    let letter = |c: char| match letters.find(c) {
        Some(place) => Some("KQRBN".as_bytes()[place] as char),
        None => (!c.is_ascii_uppercase() || c == 'O').then_some(c),
    };
    let english: String = written.chars().take(LONGEST + 1).map(letter).collect::<Option<_>>()?;
    (english != written).then_some(english)
}

/// The only legal move that the word means in letters of other languages.
fn by_other_letters(position: &Chess, written: &str) -> Option<Move> {
    let read = |letters| match Spelling::of(&in_english(written, letters)?)? {
        Spelling::San(san) => san.to_move(position).ok(),
        Spelling::Uci(_) => None,
    };
    let mut moves = OTHER_LETTERS.into_iter().filter_map(read);
    let first = moves.next()?;
    moves.all(|other| other == first).then_some(first)
}

/// The legal move that `written` means: SAN (check sign optional, castling with O or 0) or UCI
/// (castling as the king's move).
pub(super) fn read_move(position: &Chess, written: &str) -> Result<Move, Misread> {
    let spelling = Spelling::of(written);
    let read = match &spelling {
        Some(Spelling::San(san)) => san.to_move(position),
        Some(Spelling::Uci(uci)) => uci.to_move(position).map_err(|_| SanError::IllegalSan),
        None => Err(SanError::IllegalSan),
    };
    match (read, spelling) {
        (Ok(mv), _) => Ok(mv),
        (Err(SanError::AmbiguousSan), Some(Spelling::San(san))) => Err(ambiguous(position, san)),
        (Err(_), spelling) => Err(illegal(position, written, spelling)),
    }
}

fn ambiguous(position: &Chess, san: San) -> Misread {
    let fitting = position.legal_moves().into_iter().filter(|&mv| san.matches(mv));
    let mut moves: Vec<String> =
        fitting.map(|mv| San::from_move(position, mv).to_string()).collect();
    moves.sort();
    Misread::Ambiguous(moves)
}

/// The first of these that exist: the same piece to the same square, other moves of the piece, any
/// move to the square, whatever is spelt alike.
fn illegal(position: &Chess, written: &str, spelling: Option<Spelling>) -> Misread {
    let legal = position.legal_moves();
    if legal.is_empty() {
        return Misread::Over(if position.is_check() { "checkmate" } else { "stalemate" });
    }
    let pick = |what: String, fits: &dyn Fn(Move) -> bool| {
        let moves: Vec<Move> = legal.iter().copied().filter(|&mv| fits(mv)).collect();
        (!moves.is_empty()).then_some((what, moves))
    };
    // An R is a rook first, and a king in other languages only where no rook can move.
    let is_known = matches!(&spelling, Some(Spelling::San(San::Normal { role, .. }))
        if legal.iter().any(|mv| mv.role() == *role));
    if let Some(mv) = by_other_letters(position, written).filter(|_| !is_known) {
        let english = San::from_move(position, mv).to_string();
        return Misread::OtherLetters { written: written.to_owned(), english };
    }
    let uci = matches!(spelling, Some(Spelling::Uci(_)));
    let related = match spelling {
        Some(Spelling::San(San::Normal { role, to, .. })) => {
            pick(format!("legal moves to {to}"), &|mv| mv.role() == role && mv.to() == to)
                .or_else(|| pick(of_piece(role), &|mv| role != Role::Pawn && mv.role() == role))
                .or_else(|| pick(format!("legal moves to {to}"), &|mv| mv.to() == to))
        }
        Some(Spelling::San(_)) => pick(of_piece(Role::King), &|mv| mv.role() == Role::King),
        Some(Spelling::Uci(UciMove::Normal { from, to, .. })) => {
            pick(format!("legal moves from {from}"), &|mv| mv.from() == Some(from))
                .or_else(|| pick(format!("legal moves to {to}"), &|mv| mv.to() == to))
        }
        _ => None,
    };
    let text = |&mv: &Move| match uci {
        true => mv.to_uci(CastlingMode::Standard).to_string(),
        false => San::from_move(position, mv).to_string(),
    };
    let (what, texts): (_, Vec<String>) = match &related {
        Some((what, moves)) => (what.as_str(), moves.iter().map(text).collect()),
        None => ("legal moves", legal.iter().map(text).collect()),
    };
    let (nearest, whole) = nearest(written, texts, related.is_some());
    let what = if whole { what.to_owned() } else { format!("nearest {what}") };
    Misread::Illegal { what, nearest }
}

fn of_piece(role: Role) -> String {
    let piece = match role {
        Role::Pawn => "pawn",
        Role::Knight => "knight",
        Role::Bishop => "bishop",
        Role::Rook => "rook",
        Role::Queen => "queen",
        Role::King => "king",
    };
    format!("legal {piece} moves")
}

/// At most six of `texts` in alphabetical order, and whether they are all of them. Unless the texts
/// are related to the word, only those spelt most alike are taken.
fn nearest(written: &str, mut texts: Vec<String>, related: bool) -> (Vec<String>, bool) {
    let written = written.char_indices().nth(LONGEST).map_or(written, |(end, _)| &written[..end]);
    let all = texts.len();
    texts.sort_by_cached_key(|text| (distance(written, text), text.clone()));
    if !related {
        let least = texts.first().map_or(0, |text| distance(written, text));
        texts.retain(|text| distance(written, text) == least);
    }
    texts.truncate(NAMED);
    texts.sort();
    let whole = texts.len() == all;
    (texts, whole)
}

/// Edit distance of two words; a letter in the wrong case is half an edit, an edit counts 2.
fn distance(a: &str, b: &str) -> usize {
    let b: Vec<char> = b.chars().collect();
    let mut row: Vec<usize> = (0..=b.len()).map(|place| 2 * place).collect();
    for (line, from) in a.chars().enumerate() {
        let mut diagonal = std::mem::replace(&mut row[0], 2 * (line + 1));
        for (place, &to) in b.iter().enumerate() {
            let change = match (from == to, from.eq_ignore_ascii_case(&to)) {
                (true, _) => 0,
                (false, true) => 1,
                (false, false) => 2,
            };
            let best = (diagonal + change).min(row[place] + 2).min(row[place + 1] + 2);
            diagonal = std::mem::replace(&mut row[place + 1], best);
        }
    }
    row[b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lines::fen::position_of;

    fn position(fen: &str) -> Chess {
        position_of(fen).expect("a legal position")
    }

    fn misread(position: &Chess, written: &str) -> String {
        read_move(position, written).expect_err("no move").to_string()
    }

    #[test]
    fn every_legal_move_is_read_in_all_its_spellings() {
        let fens = [
            "r3k2r/p1ppqpb1/bn2pnp1/3PN3/1p2P3/2N2Q1p/PPPBBPPP/R3K2R w KQkq - 0 1",
            "r3k2r/Pppp1ppp/1b3nbN/nP6/BBP1P3/q4N2/Pp1P2PP/R2Q1RK1 w kq - 0 1",
            "rnbqkbnr/ppp1p1pp/8/3pPp2/8/8/PPPP1PPP/RNBQKBNR w KQkq f6 0 3",
        ];
        for position in fens.map(position) {
            for mv in position.legal_moves() {
                let san = san_text(&position, mv);
                let zeros = san.replace('O', "0");
                let uci = mv.to_uci(CastlingMode::Standard).to_string();
                for written in [&san, san.trim_end_matches(['+', '#']), &zeros, &uci] {
                    assert_eq!(read_move(&position, written), Ok(mv), "{written}");
                }
            }
        }
    }

    #[test]
    fn a_move_of_two_pieces_names_both() {
        let position =
            position("r1bqkb1r/pppp1ppp/2n2n2/4p3/2B1P3/2N5/PPPP1PPP/R1BQK1NR w KQkq - 4 4");
        assert_eq!(misread(&position, "Ne2"), "write Nce2 or Nge2");
    }

    #[test]
    fn an_illegal_move_names_what_is_related_to_it() {
        let start = Chess::default();
        assert_eq!(misread(&start, "Nf5"), "legal knight moves: Na3, Nc3, Nf3, Nh3");
        assert_eq!(misread(&start, "Nxf3"), "legal moves to f3: Nf3");
        assert_eq!(misread(&start, "Qf3"), "legal moves to f3: Nf3, f3");
        assert_eq!(misread(&start, "e2e5"), "legal moves from e2: e2e3, e2e4");
        assert_eq!(misread(&start, "d1f3"), "legal moves to f3: f2f3, g1f3");
        assert_eq!(misread(&start, "e5"), "nearest legal moves: e3, e4");
    }

    #[test]
    fn a_misspelt_move_names_those_spelt_alike() {
        let start = Chess::default();
        assert_eq!(misread(&start, "nf3"), "nearest legal moves: Nf3");
        assert_eq!(misread(&start, "Nf33"), "nearest legal moves: Nf3");
    }

    #[test]
    fn a_move_in_letters_of_another_language_is_named_in_english_ones() {
        let said = |position: &Chess, written: &str| misread(position, written);
        let start = Chess::default();
        for written in ["Sf3", "Cf3"] {
            let expected = format!("moves are written with English letters: Nf3 for {written}");
            assert_eq!(said(&start, written), expected);
            assert!(is_move(written));
        }
        let middle = position("r1bqkb1r/pppp1ppp/2n2n2/4p3/4P3/5N2/PPPP1PPP/RNBQKB1R w KQkq - 4 4");
        for (written, english) in
            [("Lb5", "Bb5"), ("Ab5", "Bb5"), ("Fb5", "Bb5"), ("De2", "Qe2"), ("Tg1", "Rg1")]
        {
            let expected =
                format!("moves are written with English letters: {english} for {written}");
            assert_eq!(said(&middle, written), expected);
        }
        // A rook that cannot go there; two knights; a move of nobody.
        assert_eq!(said(&middle, "Re2"), "legal rook moves: Rg1");
        assert!(said(&middle, "Se2").starts_with("nearest legal moves"));
        assert!(said(&middle, "Sxh8").starts_with("nearest legal moves"));
        let promoting = position("8/4P1k1/8/8/8/8/6K1/8 w - - 0 1");
        assert_eq!(
            said(&promoting, "e8=D"),
            "moves are written with English letters: e8=Q for e8=D"
        );
        assert_eq!(said(&promoting, "Rf2"), "moves are written with English letters: Kf2 for Rf2");
    }

    #[test]
    fn long_moves_may_have_a_hyphen() {
        let start = Chess::default();
        for (written, san) in
            [("d2-d4", "d4"), ("Ng1-f3", "Nf3"), ("g1\u{2013}f3", "Nf3"), ("e2-e4+", "e4")]
        {
            let mv = read_move(&start, written).expect("a move");
            assert_eq!(san_text(&start, mv), san, "{written}");
        }
        let promoting = position("8/4P1k1/8/8/8/8/6K1/8 w - - 0 1");
        let mv = read_move(&promoting, "e7-e8=Q").expect("a move");
        assert_eq!(san_text(&promoting, mv), "e8=Q");
        assert!(["d2-", "-d4", "d2-d", "d-d4", "\u{e9}-d4"].iter().all(|text| !is_move(text)));
    }

    #[test]
    fn a_promotion_without_its_piece_names_all_four() {
        let position = position("8/4P1k1/8/8/8/8/6K1/8 w - - 0 1");
        assert_eq!(misread(&position, "e8"), "legal moves to e8: e8=B, e8=N, e8=Q, e8=R");
        assert_eq!(misread(&position, "e7e8"), "legal moves from e7: e7e8b, e7e8n, e7e8q, e7e8r");
    }

    #[test]
    fn behind_a_mate_there_is_no_move() {
        let position = position("rnb1kbnr/pppp1ppp/8/4p3/6Pq/5P2/PPPPP2P/RNBQKBNR w KQkq - 1 3");
        assert_eq!(misread(&position, "Kf2"), "the game is over by checkmate");
    }
}
