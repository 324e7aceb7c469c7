//! Claims about the moves of a position: what everybody says, in a form that counts can answer.
//!
//! ```text
//! Nf6 first            the most played move; also second to tenth, 1st to 10th
//! Nf6 top 3            one of the three most played
//! Nf6 >= 40%           its share of the games here; also <=, >, <, about
//! Nf6 > Be7            played more often than the other; also <
//! Nf6 score >= 55%     what its mover scores with it
//! Nf6 edge > 0.05      its edge in points per game, also as 5%
//! ```

use shakmaty::{Chess, Move, Position};
use thiserror::Error;

use super::fraction::fraction;
use super::limits::Shown;
use super::line_error::{LineError, MoveError, Place};
use super::spelling::{is_move, read_move, san_text};

/// A claim about a move of a position. Whether it holds is for the counts to say.
#[derive(Clone, Debug, PartialEq)]
pub struct Claim {
    /// As written, trimmed.
    pub text: String,
    /// The move it is about.
    pub mv: Move,
    /// That move in SAN.
    pub san: String,
    /// What is said about it.
    pub kind: ClaimKind,
}

/// What a claim says about its move.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum ClaimKind {
    /// Its rank by games, 1 to 10.
    Rank(u8),
    /// Its rank is this or better, from 1.
    Top(u8),
    /// Its share of all games from the position.
    Share(Bound),
    /// Its mover's score.
    Score(Bound),
    /// Its mover's edge, in points per game.
    Edge(Bound),
    /// It is played more often than another move.
    MoreThan(Move),
    /// It is played less often than another move.
    LessThan(Move),
}

/// A comparison with a number.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bound {
    /// How the two compare.
    pub relation: Relation,
    /// A fraction: 0 to 1 for shares and scores, -1 to 1 for edges.
    pub value: f64,
}

/// How a measured value compares with the number of a claim.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Relation {
    /// `>=`
    AtLeast,
    /// `<=`
    AtMost,
    /// `>`
    Above,
    /// `<`
    Below,
    /// `about`
    About,
}

/// Why a text is no claim.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[non_exhaustive]
pub enum ClaimError {
    /// A move that is not legal in the position.
    #[error("claim '{}': {error}", Shown(.claim))]
    Move {
        /// As written.
        claim: String,
        /// The move and the legal moves near it.
        error: LineError,
    },
    /// A word that says nothing here, or the end where one is missing.
    #[error(
        "claim '{}': {} is not understood; say 'Nf6 first' (to tenth), 'Nf6 top 3', \
         'Nf6 >= 40%' (or <=, >, <, about), 'Nf6 > Be7', 'Nf6 score >= 55%' or \
         'Nf6 edge > 0.05', with a move of the position",
        Shown(.claim), quoted(.word)
    )]
    Unknown {
        /// As written.
        claim: String,
        /// The word; empty at the end.
        word: String,
    },
    /// More than one claim.
    #[error("claim '{}': these are several claims: give each an --expect of its own, or write them into a file for --claims", Shown(.claim))]
    Several {
        /// As written.
        claim: String,
    },
    /// A number, or what is in its place, that makes no sense there.
    #[error("claim '{}': '{}' is not {wanted}", Shown(.claim), Shown(.value))]
    Value {
        /// As written.
        claim: String,
        /// The word.
        value: String,
        /// What would make sense.
        wanted: &'static str,
    },
    /// A move number that is not the one of the position.
    #[error("claim '{}': wrong number '{}'; write {wanted} or none", Shown(.claim), Shown(.number))]
    Number {
        /// As written.
        claim: String,
        /// The number.
        number: String,
        /// The right one, with its full stops.
        wanted: String,
    },
}

fn quoted(word: &str) -> String {
    if word.is_empty() { "the end".to_owned() } else { format!("'{}'", Shown(word)) }
}

/// The measures of a move.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Measure {
    Share,
    Score,
    Edge,
}

const SIGNS: [(&str, Relation); 6] = [
    (">=", Relation::AtLeast),
    ("<=", Relation::AtMost),
    ("\u{2265}", Relation::AtLeast),
    ("\u{2264}", Relation::AtMost),
    (">", Relation::Above),
    ("<", Relation::Below),
];

const RANKS: [(&str, &str); 10] = [
    ("first", "1st"),
    ("second", "2nd"),
    ("third", "3rd"),
    ("fourth", "4th"),
    ("fifth", "5th"),
    ("sixth", "6th"),
    ("seventh", "7th"),
    ("eighth", "8th"),
    ("ninth", "9th"),
    ("tenth", "10th"),
];

impl Claim {
    /// Reads a claim about a legal move of `position`; words in any case, moves in SAN or UCI.
    ///
    /// # Errors
    ///
    /// [`ClaimError`] names the word that is wrong, and what can be said.
    pub fn parse(text: &str, position: &Chess) -> Result<Claim, ClaimError> {
        let reader = Reader { claim: text.trim_end_matches([';', ' ']).trim(), position };
        if reader.claim.contains(';') {
            return Err(ClaimError::Several { claim: reader.claim.to_owned() });
        }
        let words = reader.words()?;
        let mut words = words.iter().map(String::as_str);
        let word = words.next().unwrap_or_default();
        if !is_move(word) {
            return Err(reader.unknown(word));
        }
        let mv = reader.legal(word)?;
        let kind = reader.kind(mv, &mut words)?;
        match words.next() {
            Some(word) => Err(reader.unknown(word)),
            None => {
                let san = san_text(position, mv);
                Ok(Claim { text: reader.claim.to_owned(), mv, san, kind })
            }
        }
    }
}

struct Reader<'a> {
    claim: &'a str,
    position: &'a Chess,
}

impl<'a> Reader<'a> {
    /// The words, signs of comparison apart from the rest; a move number in front is dropped.
    fn words(&self) -> Result<Vec<String>, ClaimError> {
        let unnumbered = match self.claim.split_once('.') {
            Some((number, rest)) if number.bytes().all(|byte| byte.is_ascii_digit()) => {
                self.check_number(number)?;
                rest.trim_start_matches('.')
            }
            _ => self.claim,
        };
        let sign = SIGNS.iter().find_map(|(sign, _)| {
            let (left, right) = unnumbered.split_once(sign)?;
            Some(format!("{left} {sign} {right}"))
        });
        let spaced = sign.as_deref().unwrap_or(unnumbered);
        let mut words: Vec<String> = Vec::new();
        for word in spaced.split_whitespace() {
            // `40 %` and `1 / 3` are one number.
            match words.last_mut() {
                Some(before) if is_going_on(before, word) => *before += word,
                _ => words.push(word.to_owned()),
            }
        }
        Ok(words)
    }

    fn check_number(&self, number: &str) -> Result<(), ClaimError> {
        let right = self.position.fullmoves();
        if number.parse() == Ok(right.get()) {
            return Ok(());
        }
        let wanted = format!("{right}{}", self.position.turn().fold_wb(".", "..."));
        let (claim, number) = (self.claim.to_owned(), number.to_owned());
        Err(ClaimError::Number { claim, number, wanted })
    }

    fn unknown(&self, word: &str) -> ClaimError {
        ClaimError::Unknown { claim: self.claim.to_owned(), word: word.to_owned() }
    }

    fn value(&self, value: &str, wanted: &'static str) -> ClaimError {
        if value.is_empty() {
            return self.unknown(value);
        }
        ClaimError::Value { claim: self.claim.to_owned(), value: value.to_owned(), wanted }
    }

    fn legal(&self, written: &str) -> Result<Move, ClaimError> {
        read_move(self.position, written).map_err(|misread| {
            let place = Place::of(self.position, String::new());
            let error = MoveError { written: written.to_owned(), place, misread };
            let error = LineError::Move(Box::new(error));
            ClaimError::Move { claim: self.claim.to_owned(), error }
        })
    }

    fn kind<'w>(
        &self,
        mv: Move,
        words: &mut impl Iterator<Item = &'w str>,
    ) -> Result<ClaimKind, ClaimError> {
        let word = words.next().unwrap_or_default();
        let lower = word.to_lowercase();
        if let Some(rank) = RANKS.iter().position(|&(name, short)| lower == name || lower == short)
        {
            return Ok(ClaimKind::Rank(rank as u8 + 1));
        }
        let measure = match lower.as_str() {
            "top" => return self.top(words.next().unwrap_or_default()),
            "share" => Some(Measure::Share),
            "score" => Some(Measure::Score),
            "edge" => Some(Measure::Edge),
            _ => None,
        };
        let sign = if measure.is_some() { words.next().unwrap_or_default() } else { word };
        let relation = match SIGNS.iter().find(|(known, _)| *known == sign) {
            Some(&(_, relation)) => relation,
            None if sign.eq_ignore_ascii_case("about") => Relation::About,
            None => return Err(self.unknown(sign)),
        };
        let operand = words.next().unwrap_or_default();
        if measure.is_none() && number(operand).is_none() && is_move(operand) {
            return self.compare(mv, relation, operand);
        }
        self.bound(measure.unwrap_or(Measure::Share), relation, operand)
    }

    fn top(&self, word: &str) -> Result<ClaimKind, ClaimError> {
        let rank = word.parse().ok().filter(|&rank| rank > 0);
        rank.map(ClaimKind::Top).ok_or_else(|| self.value(word, "a number of moves from 1 to 255"))
    }

    fn compare(&self, mv: Move, relation: Relation, word: &str) -> Result<ClaimKind, ClaimError> {
        let other = self.legal(word)?;
        match relation {
            _ if other == mv => Err(self.value(word, "another move")),
            Relation::Above => Ok(ClaimKind::MoreThan(other)),
            Relation::Below => Ok(ClaimKind::LessThan(other)),
            _ => Err(self.value(word, "a share such as 40%; two moves compare with > or <")),
        }
    }

    fn bound(
        &self,
        measure: Measure,
        relation: Relation,
        word: &str,
    ) -> Result<ClaimKind, ClaimError> {
        let (least, wanted) = match measure {
            Measure::Edge => (-1.0, "an edge between -1 and 1, such as 0.05 or 5%"),
            _ => (0.0, "a share or score between 0% and 100%, such as 40% or 0.4"),
        };
        let value = number(word).filter(|value| (least..=1.0).contains(value));
        let bound = Bound { relation, value: value.ok_or_else(|| self.value(word, wanted))? };
        Ok(match measure {
            Measure::Share => ClaimKind::Share(bound),
            Measure::Score => ClaimKind::Score(bound),
            Measure::Edge => ClaimKind::Edge(bound),
        })
    }
}

/// Whether a word belongs to the number before it.
fn is_going_on(before: &str, word: &str) -> bool {
    let after_digit = before.ends_with(|c: char| c.is_ascii_digit());
    after_digit && (word == "%" || word.starts_with('/')) || before.ends_with('/')
}

/// `40%`, `0.4` or `2/5` as a fraction. A whole number but 0 needs its `%`: 1 could be
/// meant as either.
fn number(word: &str) -> Option<f64> {
    fraction(word).filter(|value| *value == 0.0 || word.contains(['%', '.', '/']))
}

#[cfg(test)]
#[path = "claim_tests.rs"]
mod tests;
