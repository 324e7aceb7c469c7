//! What an engine says, line by line, whatever it is.

use std::io::{BufRead, BufReader, Read};

use super::EngineError;
use super::protocol::{Said, Score};

/// What an engine says about a position.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Evaluated {
    /// From the view of the side to move.
    pub score: Score,
    /// The best move as UCI text; the caller checks that it is legal.
    pub best: String,
    /// Positions looked at, as the engine counts them.
    pub nodes: u64,
}

/// A longer line is cut there: no engine's is as long.
const LONGEST_LINE: u64 = 1 << 16;
/// So many lines that are no words of the protocol are enough.
const MOST_UNKNOWN: usize = 1000;
/// Letters of a text of the engine's that are kept.
const LONGEST_NAME: usize = 80;

/// Hands over every line until the output ends or `each` wants no more.
pub(super) fn lines(output: impl Read, mut each: impl FnMut(String) -> bool) {
    let mut output = BufReader::new(output);
    loop {
        let mut line = Vec::new();
        match output.by_ref().take(LONGEST_LINE).read_until(b'\n', &mut line) {
            Ok(0) | Err(_) => return,
            Ok(_) if each(String::from_utf8_lossy(&line).into_owned()) => {}
            Ok(_) => return,
        }
    }
}

/// Listens for one word of the protocol.
pub(super) struct Listener {
    awaited: &'static str,
    unknown: usize,
    score: Option<Score>,
    nodes: u64,
    name: String,
}

/// What was heard before the awaited word.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Heard {
    /// The engine's name, if it said so.
    pub name: String,
    /// What it says, where a move was awaited.
    pub evaluated: Option<Evaluated>,
}

impl Listener {
    pub(super) fn new(awaited: &'static str) -> Listener {
        Listener { awaited, unknown: 0, score: None, nodes: 0, name: String::new() }
    }

    /// Takes a line; what was heard if it is the awaited one.
    ///
    /// # Errors
    ///
    /// A move without a score, or too many lines that are no words of the protocol.
    pub(super) fn hear(&mut self, line: &str) -> Result<Option<Heard>, EngineError> {
        let evaluated = match Said::read(line) {
            Said::UciOk if self.awaited == "uciok" => None,
            Said::ReadyOk if self.awaited == "readyok" => None,
            Said::BestMove(best) if self.awaited == "bestmove" => {
                let what = || format!("the move '{}' without a score", shortened(&best));
                let score = self.score.ok_or_else(|| EngineError::Nonsense { what: what() })?;
                Some(Evaluated { score, best: shortened(&best), nodes: self.nodes })
            }
            said => {
                self.note(said, line)?;
                return Ok(None);
            }
        };
        Ok(Some(Heard { name: std::mem::take(&mut self.name), evaluated }))
    }

    fn note(&mut self, said: Said, line: &str) -> Result<(), EngineError> {
        match said {
            Said::Name(name) => self.name = shortened(&name),
            Said::Info { score, nodes } => {
                self.score = score.or(self.score);
                self.nodes = nodes.unwrap_or(0).max(self.nodes);
            }
            Said::Unknown => self.unknown += 1,
            _ => {}
        }
        if self.unknown <= MOST_UNKNOWN {
            return Ok(());
        }
        let (line, awaited) = (shortened(line), self.awaited);
        let what = format!("'{line}' and more where '{awaited}' should come");
        Err(EngineError::Nonsense { what })
    }
}

/// What an engine that says these bytes means to say about a position: the whole of the listening,
/// without a process.
///
/// # Errors
///
/// As of an engine: it ends, talks nonsense, or names a move without a score.
pub fn listen(bytes: &[u8]) -> Result<Evaluated, EngineError> {
    let mut listener = Listener::new("bestmove");
    let mut heard = Err(EngineError::Died { awaited: "bestmove" });
    lines(bytes, |line| match listener.hear(&line).transpose() {
        None => true,
        Some(told) => {
            heard = told.map(|told| told.evaluated.expect("a move was awaited"));
            false
        }
    });
    heard
}

/// The start of a text without control characters.
fn shortened(text: &str) -> String {
    let plain = |letter: char| if letter.is_control() { ' ' } else { letter };
    text.trim().chars().take(LONGEST_NAME).map(plain).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_last_score_and_the_most_nodes_count() {
        let said = b"info score cp 3 nodes 70\ninfo score cp -9 nodes 5\nbestmove e2e4\nmore";
        let evaluated = listen(said).expect("a judgement");
        assert_eq!((evaluated.score, evaluated.nodes), (Score::Centipawns(-9), 70));
        assert_eq!(evaluated.best, "e2e4");
    }

    #[test]
    fn what_an_engine_says_is_kept_short_and_plain() {
        let said = format!("info score cp 1\nbestmove \x07{}\n", "x".repeat(1_000_000));
        let evaluated = listen(said.as_bytes()).expect("a judgement");
        assert_eq!(evaluated.best.chars().count(), LONGEST_NAME);
        assert!(!evaluated.best.contains('\x07'));
        let error =
            listen("\x1bhello\n".repeat(2_000).as_bytes()).expect_err("nonsense").to_string();
        assert!(
            error.contains("' hello' and more") || error.contains("'hello' and more"),
            "{error}"
        );
        assert!(matches!(listen(b"info score cp 1"), Err(EngineError::Died { .. })));
    }
}
