//! One engine process, asked and answered line by line.

use std::io::Write;
use std::path::Path;
use std::process::{Child, ChildStdin, Command, Stdio};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use crossbeam_channel::{Receiver, RecvTimeoutError, SendTimeoutError, Sender, bounded};

use super::EngineError;
use super::listen::{Evaluated, Heard, Listener, lines};

/// How to ask.
#[derive(Clone, Debug)]
pub struct EngineSettings {
    /// Positions to look at in each search.
    pub nodes: u64,
    /// How long to wait for an answer.
    pub patience: Duration,
    /// Set to give up at once.
    pub stop: Arc<AtomicBool>,
}

/// A running engine. It is stopped when dropped, with every process that it has started.
#[derive(Debug)]
pub struct Engine {
    process: Child,
    /// To the thread that writes; none once nothing more is to be said.
    to_engine: Option<Sender<String>>,
    lines: Receiver<String>,
    name: String,
    settings: EngineSettings,
}

/// How long nobody asks whether to stop.
const TICK: Duration = Duration::from_millis(50);

impl Engine {
    /// Starts an engine and waits until it is ready.
    ///
    /// # Errors
    ///
    /// It cannot be started, ends, or does not answer in time as the protocol asks.
    pub fn start(path: &Path, settings: EngineSettings) -> Result<Engine, EngineError> {
        let mut command = Command::new(path);
        command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::null());
        // A group of its own, to be ended with all that it starts.
        #[cfg(unix)]
        std::os::unix::process::CommandExt::process_group(&mut command, 0);
        let mut process = command.spawn().map_err(EngineError::Start)?;
        let (to_us, lines_of_engine) = bounded(256);
        let output = process.stdout.take().expect("the output is a pipe");
        std::thread::spawn(move || lines(output, |line| to_us.send(line).is_ok()));
        let (to_engine, said) = bounded(16);
        let input = process.stdin.take().expect("the input is a pipe");
        std::thread::spawn(move || write_lines(input, &said));
        let (to_engine, name) = (Some(to_engine), String::new());
        let mut engine = Engine { process, to_engine, lines: lines_of_engine, name, settings };
        engine.say("uci", "uciok")?;
        engine.name = engine.wait("uciok")?.name;
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
        Ok(self.wait("bestmove")?.evaluated.expect("a move was awaited"))
    }

    fn ready(&mut self) -> Result<(), EngineError> {
        self.say("isready", "readyok")?;
        self.wait("readyok").map(drop)
    }

    /// Hands one line to the thread that writes. An engine that never reads fills the pipe and
    /// holds up that thread, not this one.
    fn say(&mut self, line: &str, awaited: &'static str) -> Result<(), EngineError> {
        let to_engine = self.to_engine.as_ref().expect("it is open until the end");
        let mut line = format!("{line}\n");
        let end = Instant::now() + self.settings.patience;
        loop {
            line = match to_engine.send_deadline(line, end.min(Instant::now() + TICK)) {
                Ok(()) => return Ok(()),
                Err(SendTimeoutError::Disconnected(_)) => {
                    return Err(EngineError::Died { awaited });
                }
                Err(SendTimeoutError::Timeout(line)) => line,
            };
            self.go_on_until(end, awaited)?;
        }
    }

    /// Reads lines until one is the awaited one.
    fn wait(&mut self, awaited: &'static str) -> Result<Heard, EngineError> {
        let end = Instant::now() + self.settings.patience;
        let mut listener = Listener::new(awaited);
        loop {
            match self.lines.recv_deadline(end.min(Instant::now() + TICK)) {
                Ok(line) => {
                    if let Some(heard) = listener.hear(&line)? {
                        return Ok(heard);
                    }
                }
                Err(RecvTimeoutError::Timeout) => {}
                Err(RecvTimeoutError::Disconnected) => return Err(EngineError::Died { awaited }),
            }
            // A talkative engine must not keep us for ever either.
            self.go_on_until(end, awaited)?;
        }
    }

    fn go_on_until(&self, end: Instant, awaited: &'static str) -> Result<(), EngineError> {
        if self.settings.stop.load(Ordering::Relaxed) {
            return Err(EngineError::Stopped);
        }
        let limit = self.settings.patience;
        if Instant::now() >= end { Err(EngineError::Silent { awaited, limit }) } else { Ok(()) }
    }

    /// Whether the process has ended. On Unix it is not forgotten by the system meanwhile, so that
    /// no other process can get its number.
    fn has_ended(&mut self) -> bool {
        #[cfg(unix)]
        {
            use rustix::process::{WaitId, WaitIdOptions, waitid};
            let look = WaitIdOptions::EXITED | WaitIdOptions::NOHANG | WaitIdOptions::NOWAIT;
            !matches!(waitid(WaitId::Pid(self.group()), look), Ok(None))
        }
        #[cfg(not(unix))]
        !matches!(self.process.try_wait(), Ok(None))
    }

    #[cfg(unix)]
    fn group(&self) -> rustix::process::Pid {
        rustix::process::Pid::from_child(&self.process)
    }
}

impl Drop for Engine {
    /// Asks the engine to quit, gives it a moment, and ends it with whatever it has started.
    fn drop(&mut self) {
        // Whatever fails here, the processes are killed below.
        if let Some(to_engine) = self.to_engine.take() {
            let _ = to_engine.try_send("quit\n".into());
        }
        let end = Instant::now() + Duration::from_millis(200);
        while Instant::now() < end && !self.has_ended() {
            std::thread::sleep(Duration::from_millis(5));
        }
        #[cfg(unix)]
        let _ = rustix::process::kill_process_group(self.group(), rustix::process::Signal::KILL);
        let _ = self.process.kill();
        let _ = self.process.wait();
    }
}

/// Writes every line until nobody says any more or the engine is gone.
fn write_lines(mut input: ChildStdin, said: &Receiver<String>) {
    for line in said {
        if input.write_all(line.as_bytes()).and_then(|()| input.flush()).is_err() {
            return;
        }
    }
}
