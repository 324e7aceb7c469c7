//! Lists of claims, one line each: a line of moves, a colon, what is said about the position.
//!
//! ```text
//! # what a book says; empty lines and lines that begin with # are passed over
//! start: e4 first
//! 1. e4 d5 2. exd5 Qxd5 3. Nc3: Qa5 first; Qd8 second
//! e4 c5   Nf3 >= 50%
//! ```
//!
//! Two spaces or a tab do instead of the colon. Several claims about one position are
//! parted by `;`.

use shakmaty::Position;
use thiserror::Error;

use super::claim::{Claim, ClaimError};
use super::limits::MOST_CLAIMS;
use super::line::Line;
use super::line_error::LineError;
use super::text_error::{TextError, TextPlace};

/// Claims about positions, in the order of their text; at least one.
#[derive(Clone, Debug, PartialEq)]
pub struct ClaimList(Vec<Listed>);

/// One line of a list.
#[derive(Clone, Debug, PartialEq)]
pub struct Listed {
    /// Which line of the text, from 1.
    pub number: usize,
    /// The moves that lead to the position.
    pub line: Line,
    /// What is said about it.
    pub claims: Vec<Claim>,
}

/// Why a text, or a line of it, is no list of claims.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[non_exhaustive]
pub enum ClaimListReason {
    /// Nothing parts moves and claim.
    #[error("no claim: write a line of moves, a colon and the claim, as in '1. e4: c5 first'")]
    NoClaim,
    /// The moves.
    #[error(transparent)]
    Line(LineError),
    /// The claim.
    #[error(transparent)]
    Claim(ClaimError),
    /// A position in which the game is over.
    #[error("the game is over there: no move can be claimed")]
    Over,
    /// With it there are more claims than a text may have.
    #[error(
        "with it there are more than {MOST_CLAIMS} claims, the limit for a file: split it into several"
    )]
    TooMany,
    /// A text without claims.
    #[error("no claim in it: write one a line, as in '1. e4: c5 first'")]
    Empty,
}

impl ClaimList {
    /// Reads a list.
    ///
    /// # Errors
    ///
    /// The first line that is not understood.
    pub fn read(text: &str) -> Result<ClaimList, TextError<ClaimListReason>> {
        let (mut listed, mut count) = (Vec::new(), 0);
        for (place, row) in text.lines().enumerate() {
            let number = place + 1;
            let row = row.trim();
            if row.is_empty() || row.starts_with('#') {
                continue;
            }
            let located = |reason| TextError { place: TextPlace::Row(number), reason };
            let (line, claims) = read_row(row, MOST_CLAIMS - count).map_err(located)?;
            count += claims.len();
            listed.push(Listed { number, line, claims });
        }
        match listed.is_empty() {
            true => Err(TextError { place: TextPlace::Whole, reason: ClaimListReason::Empty }),
            false => Ok(ClaimList(listed)),
        }
    }

    /// The lines with claims.
    pub fn listed(&self) -> &[Listed] {
        &self.0
    }
}

/// The line and its claims, at most so many.
fn read_row(row: &str, most: usize) -> Result<(Line, Vec<Claim>), ClaimListReason> {
    let parted = [":", "\t", "  "].iter().find_map(|mark| row.split_once(mark));
    let (moves, said) = parted.ok_or(ClaimListReason::NoClaim)?;
    let moves = if moves.trim().eq_ignore_ascii_case("start") { "" } else { moves };
    let line: Line = moves.parse().map_err(ClaimListReason::Line)?;
    if line.end().is_game_over() {
        return Err(ClaimListReason::Over);
    }
    let said = said.split(';').map(str::trim).filter(|claim| !claim.is_empty());
    if said.clone().nth(most).is_some() {
        return Err(ClaimListReason::TooMany);
    }
    let claims: Vec<Claim> = said
        .map(|claim| Claim::parse(claim, line.end()))
        .collect::<Result<_, _>>()
        .map_err(ClaimListReason::Claim)?;
    if claims.is_empty() { Err(ClaimListReason::NoClaim) } else { Ok((line, claims)) }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Vec<(usize, String, Vec<String>)> {
        let list = ClaimList::read(text).expect("a list");
        let texts = |claims: &[Claim]| claims.iter().map(|claim| claim.text.clone()).collect();
        let row = |row: &Listed| (row.number, row.line.to_string(), texts(&row.claims));
        list.listed().iter().map(row).collect()
    }

    fn error(text: &str) -> String {
        ClaimList::read(text).expect_err("no list").to_string()
    }

    #[test]
    fn a_line_and_its_claims_are_parted_by_a_colon_two_spaces_or_a_tab() {
        for row in ["1. e4 e5: Nf3 first", "e4 e5  Nf3 first", "e4 e5\tNf3 first"] {
            assert_eq!(read(row), [(1, "1. e4 e5".into(), vec!["Nf3 first".into()])], "{row}");
        }
    }

    #[test]
    fn remarks_and_empty_lines_are_passed_over_and_counted() {
        let text = "# said by many\r\n\r\n  start: e4 first; d4 second ;\r\n";
        let want = vec!["e4 first".to_owned(), "d4 second".into()];
        assert_eq!(read(text), [(3, String::new(), want)]);
    }

    #[test]
    fn claims_have_their_limit_in_rows_and_within_one() {
        let rows = "start: e4 first\n".repeat(MOST_CLAIMS);
        assert_eq!(ClaimList::read(&rows).expect("a list").listed().len(), MOST_CLAIMS);
        let message =
            "with it there are more than 2000 claims, the limit for a file: split it into several";
        assert_eq!(error(&format!("{rows}start: e4 first")), format!("line 2001: {message}"));
        let row = format!("start: {}", "e4 first;".repeat(MOST_CLAIMS + 1));
        assert_eq!(error(&row), format!("line 1: {message}"));
    }

    #[test]
    fn an_error_names_its_line() {
        assert!(
            error("# a\ne4 e5").starts_with("line 2: no claim: write a line of moves, a colon")
        );
        assert!(error("e4:").starts_with("line 1: no claim"));
        assert!(
            error("start: e4 first\ne4 Ke4: d5 first").starts_with("line 2: no legal move 'Ke4'")
        );
        assert!(error("e4: e4 first").starts_with("line 1: claim 'e4 first': "));
        assert_eq!(
            error("f3 e5 g4 Qh4: e4 first"),
            "line 1: the game is over there: no move can be claimed"
        );
        assert_eq!(
            error("# nothing\n"),
            "no claim in it: write one a line, as in '1. e4: c5 first'"
        );
    }
}
