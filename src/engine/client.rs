//! One engine process, asked and answered line by line.

use std::io::{BufRead, BufReader, Read, Write};
use std::path::Path;
use std::process::{Child, ChildStdin, Command, Stdio};
use std::time::{Duration, Instant};

use crossbeam_channel::{Receiver, RecvTimeoutError, Sender, bounded};

use super::EngineError;
use super::protocol::{Said, Score};

/// How to ask.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct EngineSettings {
    /// Positions to look at in each search.
    pub nodes: u64,
    /// How long to wait for an answer.
    pub patience: Duration,
}

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

/// A running engine. It is stopped when dropped.
#[derive(Debug)]
pub struct Engine {
    process: Child,
    input: Option<ChildStdin>,
    lines: Receiver<String>,
    name: String,
    settings: EngineSettings,
}

/// A longer line is cut there: no engine's is as long.
const LONGEST_LINE: u64 = 1 << 16;
/// So many lines that are no words of the protocol are enough.
const MOST_UNKNOWN: usize = 1000;

impl Engine {
    /// Starts an engine and waits until it is ready.
    ///
    /// # Errors
    ///
    /// It cannot be started, ends, or does not answer in time as the protocol asks.
    pub fn start(path: &Path, settings: EngineSettings) -> Result<Engine, EngineError> {
        let mut process = Command::new(path)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .map_err(EngineError::Start)?;
        let (to_us, lines) = bounded(256);
        let output = process.stdout.take().expect("the output is a pipe");
        std::thread::spawn(move || read_lines(output, &to_us));
        let input = process.stdin.take();
        let mut engine = Engine { process, input, lines, name: String::new(), settings };
        engine.say("uci", "uciok")?;
        let mut name = String::new();
        engine.wait("uciok", |said| match said {
            Said::Name(given) => {
                name = given;
                None
            }
            Said::UciOk => Some(()),
            _ => None,
        })?;
        engine.name = name;
        engine.ready()?;
        Ok(engine)
    }

    /// What it calls itself; empty if it does not say.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Asks about a position in which the game is not over. What was asked before does not matter.
    ///
    /// # Errors
    ///
    /// It ends, does not answer in time, or names a move without a score.
    pub fn evaluate(&mut self, fen: &str) -> Result<Evaluated, EngineError> {
        self.say("ucinewgame", "readyok")?;
        self.ready()?;
        self.say(&format!("position fen {fen}"), "bestmove")?;
        self.say(&format!("go nodes {}", self.settings.nodes), "bestmove")?;
        let (mut last, mut most) = (None, 0);
        let best = self.wait("bestmove", |said| match said {
            Said::Info { score, nodes } => {
                last = score.or(last);
                most = nodes.unwrap_or(0).max(most);
                None
            }
            Said::BestMove(best) => Some(best),
            _ => None,
        })?;
        let score = last.ok_or_else(|| EngineError::Nonsense {
            what: format!("the move '{}' without a score", shortened(&best)),
        })?;
        Ok(Evaluated { score, best, nodes: most })
    }

    fn ready(&mut self) -> Result<(), EngineError> {
        self.say("isready", "readyok")?;
        self.wait("readyok", |said| (said == Said::ReadyOk).then_some(()))
    }

    /// Writes one line. A pipe takes far more than the few lines between two answers, so this does
    /// not block.
    fn say(&mut self, line: &str, awaited: &'static str) -> Result<(), EngineError> {
        let input = self.input.as_mut().expect("the input is open until the end");
        let text = format!("{line}\n");
        let written = input.write_all(text.as_bytes()).and_then(|()| input.flush());
        written.map_err(|_| EngineError::Died { awaited })
    }

    /// Reads lines until one is the answer.
    fn wait<T>(
        &mut self,
        awaited: &'static str,
        mut answer: impl FnMut(Said) -> Option<T>,
    ) -> Result<T, EngineError> {
        let limit = self.settings.patience;
        let end = Instant::now() + limit;
        let mut unknown = 0;
        loop {
            let line = match self.lines.recv_deadline(end) {
                Ok(line) => line,
                Err(RecvTimeoutError::Timeout) => {
                    return Err(EngineError::Silent { awaited, limit });
                }
                Err(RecvTimeoutError::Disconnected) => return Err(EngineError::Died { awaited }),
            };
            let said = Said::read(&line);
            unknown += usize::from(said == Said::Unknown);
            if unknown > MOST_UNKNOWN {
                let what = format!("'{}' and more where '{awaited}' should come", shortened(&line));
                return Err(EngineError::Nonsense { what });
            }
            if let Some(found) = answer(said) {
                return Ok(found);
            }
            // A talkative engine must not keep us for ever either.
            if Instant::now() >= end {
                return Err(EngineError::Silent { awaited, limit });
            }
        }
    }
}

impl Drop for Engine {
    /// Asks the engine to quit, gives it a moment, and ends it.
    fn drop(&mut self) {
        // Whatever fails here, the process is killed below.
        let _ = self.say("quit", "end");
        self.input = None;
        let end = Instant::now() + Duration::from_millis(200);
        while Instant::now() < end && !matches!(self.process.try_wait(), Ok(Some(_)) | Err(_)) {
            std::thread::sleep(Duration::from_millis(5));
        }
        let _ = self.process.kill();
        let _ = self.process.wait();
    }
}

/// Sends every line until the output ends or nobody listens.
fn read_lines(output: impl Read, to_us: &Sender<String>) {
    let mut output = BufReader::new(output);
    loop {
        let mut line = Vec::new();
        match output.by_ref().take(LONGEST_LINE).read_until(b'\n', &mut line) {
            Ok(0) | Err(_) => return,
            Ok(_) => {
                if to_us.send(String::from_utf8_lossy(&line).into_owned()).is_err() {
                    return;
                }
            }
        }
    }
}

/// The start of a text without control characters, for a message.
fn shortened(text: &str) -> String {
    let plain = |letter: char| if letter.is_control() { ' ' } else { letter };
    text.trim().chars().take(40).map(plain).collect()
}
