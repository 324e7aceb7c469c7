//! Signals that ask the program to end: Ctrl-C, the system, a terminal that closes.
//!
//! Mostly there is nothing to tidy up, so the program ends on the spot, whatever it waits for. A
//! command that has something unfinished to remove is told by the first signal, and ended by
//! one that comes a second later or more: some senders, such as a closing terminal, send it
//! twice at once.

use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};

use crate::importer::Stop;

use super::error::{CliError, STOPPED};

/// What a signal does.
#[derive(Clone, Debug)]
pub struct Signals {
    /// Set by a signal that was not to end the program at once.
    stop: Stop,
    /// Set with it.
    flags: Arc<Mutex<Vec<Arc<AtomicBool>>>>,
    mode: Arc<Mutex<Mode>>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Mode {
    /// A signal ends the program.
    Ends,
    /// A signal asks the work to end.
    Asks,
    /// One did so at this time.
    Asked(Instant),
}

/// A signal this soon behind another one says nothing new.
const AT_ONCE: Duration = Duration::from_secs(1);

impl Signals {
    /// Listens from here on.
    pub fn listen() -> Result<Signals, CliError> {
        let mode = Arc::new(Mutex::new(Mode::Ends));
        let signals = Signals { stop: Stop::default(), flags: Arc::default(), mode };
        let heard = signals.clone();
        system::listen(move || heard.on_signal())
            .map_err(|error| CliError::Usage(format!("cannot listen for Ctrl-C: {error}")))?;
        Ok(signals)
    }

    /// Set by the first signal from here on, which does not end the program; a later one does.
    pub fn ask_first(&self) -> &Stop {
        self.set_mode(Mode::Asks);
        &self.stop
    }

    /// A flag of its own for a part of the work, which may set it when it has enough; set
    /// with the other.
    pub fn flag(&self) -> Arc<AtomicBool> {
        let flag = Arc::new(AtomicBool::new(false));
        self.flags.lock().unwrap_or_else(PoisonError::into_inner).push(Arc::clone(&flag));
        // Or the signal that came just before would pass it by.
        if self.stop.is_set() {
            flag.store(true, Ordering::Relaxed);
        }
        flag
    }

    /// [`CliError::Interrupted`] if there was a signal since. What is finished all the same is so
    /// for good: this is asked last before files take their places.
    pub fn check(&self) -> Result<(), CliError> {
        if self.stop.is_set() { Err(CliError::Interrupted) } else { Ok(()) }
    }

    /// From here on a signal ends the program at once, as at the start.
    pub fn end_at_once(&self) {
        self.set_mode(Mode::Ends);
    }

    fn set_mode(&self, mode: Mode) {
        *self.mode.lock().unwrap_or_else(PoisonError::into_inner) = mode;
    }

    fn on_signal(&self) {
        // Held, so that a command that changes the mode sees the signal or is ended by it.
        let mut mode = self.mode.lock().unwrap_or_else(PoisonError::into_inner);
        match *mode {
            Mode::Asks => {
                *mode = Mode::Asked(Instant::now());
                self.stop.set();
                let flags = self.flags.lock().unwrap_or_else(PoisonError::into_inner);
                flags.iter().for_each(|flag| flag.store(true, Ordering::Relaxed));
            }
            Mode::Asked(time) if time.elapsed() < AT_ONCE => {}
            // Without a look back: whatever is unfinished may be waiting for ever.
            Mode::Asked(_) | Mode::Ends => system::exit(STOPPED.into()),
        }
    }
}

#[cfg(unix)]
mod system {
    use std::io;

    use std::sync::Arc;

    use signal_hook::consts::{SIGHUP, SIGINT, SIGTERM, SIGXFSZ};
    use signal_hook::iterator::Signals;
    pub(super) use signal_hook::low_level::exit;

    /// Calls `on_signal` at each signal, but for those that were ignored when the program started,
    /// as SIGHUP by `nohup` and SIGINT by a shell in the background.
    pub(super) fn listen(on_signal: impl Fn() + Send + 'static) -> io::Result<()> {
        let ignored = ignored();
        let is_heard = |signal: &&i32| ignored >> (**signal - 1) & 1 == 0;
        // Once somebody listens, a file size limit is an error of the write and not the end of
        // the program.
        if is_heard(&&SIGXFSZ) {
            signal_hook::flag::register(SIGXFSZ, Arc::default())?;
        }
        let mut listener = Signals::new([SIGINT, SIGTERM, SIGHUP].iter().filter(is_heard))?;
        std::thread::spawn(move || listener.forever().for_each(|_| on_signal()));
        Ok(())
    }

    /// The signals that are ignored now, bit 0 for number 1. Only Linux says so without a call that
    /// is not safe; elsewhere none counts as ignored.
    fn ignored() -> u64 {
        let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
        let mask = status.lines().find_map(|line| line.strip_prefix("SigIgn:"));
        mask.and_then(|mask| u64::from_str_radix(mask.trim(), 16).ok()).unwrap_or(0)
    }
}

#[cfg(windows)]
mod system {
    /// Calls `on_signal` at Ctrl-C and Ctrl-Break, and when the window closes or the user logs off.
    pub(super) fn listen(on_signal: impl Fn() + Send + 'static) -> Result<(), ctrlc::Error> {
        ctrlc::set_handler(on_signal)
    }

    #[expect(clippy::exit, reason = "a signal ends the program wherever it is")]
    pub(super) fn exit(status: i32) -> ! {
        std::process::exit(status)
    }
}
