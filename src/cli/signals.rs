//! Signals that ask the program to end: Ctrl-C, the system, a terminal that closes.
//!
//! Mostly there is nothing to tidy up, so the program ends on the spot, whatever it waits for. A
//! command that has something unfinished to remove is told by the first signal, and ended by one that
//! comes a second later or more: some senders, such as a closing terminal, send it twice at once.

use crate::importer::Stop;

use super::error::CliError;

/// What a signal does.
#[derive(Clone, Debug)]
pub struct Signals {
    /// Set by a signal that was not to end the program at once.
    stop: Stop,
    #[cfg(unix)]
    mode: std::sync::Arc<std::sync::Mutex<unix::Mode>>,
}

impl Signals {
    /// Set by the first signal from here on, which does not end the program; a later one does.
    pub fn ask_first(&self) -> &Stop {
        #[cfg(unix)]
        self.set_mode(unix::Mode::Asks);
        &self.stop
    }

    /// [`CliError::Interrupted`] if there was a signal since. What is finished all the same is so for
    /// good: this is asked last before files take their places.
    pub fn check(&self) -> Result<(), CliError> {
        if self.stop.is_set() { Err(CliError::Interrupted) } else { Ok(()) }
    }

    /// From here on a signal ends the program at once, as at the start.
    pub fn end_at_once(&self) {
        #[cfg(unix)]
        self.set_mode(unix::Mode::Ends);
    }
}

#[cfg(not(unix))]
impl Signals {
    /// Elsewhere the system ends the program; what it leaves behind the next run removes.
    pub fn listen() -> Result<Signals, CliError> {
        Ok(Signals { stop: Stop::default() })
    }
}

#[cfg(unix)]
mod unix {
    use std::sync::{Arc, Mutex, PoisonError};
    use std::time::{Duration, Instant};

    use signal_hook::consts::{SIGHUP, SIGINT, SIGTERM};
    use signal_hook::iterator::Signals as Listener;

    use super::{CliError, Signals, Stop};
    use crate::cli::error::STOPPED;

    #[derive(Clone, Copy, Debug, PartialEq, Eq)]
    pub enum Mode {
        /// A signal ends the program.
        Ends,
        /// A signal is told.
        Asks,
        /// One was told at this time.
        Asked(Instant),
    }

    /// A signal this soon behind another one says nothing new.
    const AT_ONCE: Duration = Duration::from_secs(1);

    impl Signals {
        /// Listens from here on, but for signals that were ignored when the program started, as SIGHUP
        /// by `nohup` and SIGINT by a shell in the background.
        pub fn listen() -> Result<Signals, CliError> {
            let ignored = ignored();
            let is_heard = |signal: &i32| ignored >> (signal - 1) & 1 == 0;
            let mode = Arc::new(Mutex::new(Mode::Ends));
            let signals = Signals { stop: Stop::default(), mode };
            let heard = signals.clone();
            let listener =
                Listener::new([SIGINT, SIGTERM, SIGHUP].iter().filter(|one| is_heard(one)));
            let mut listener = listener
                .map_err(|error| CliError::Usage(format!("cannot listen for Ctrl-C: {error}")))?;
            std::thread::spawn(move || listener.forever().for_each(|_| heard.on_signal()));
            Ok(signals)
        }

        pub(super) fn set_mode(&self, mode: Mode) {
            *self.mode.lock().unwrap_or_else(PoisonError::into_inner) = mode;
        }

        fn on_signal(&self) {
            // Held, so that a command that changes the mode sees the signal or is ended by it.
            let mut mode = self.mode.lock().unwrap_or_else(PoisonError::into_inner);
            match *mode {
                Mode::Asks => {
                    *mode = Mode::Asked(Instant::now());
                    self.stop.set();
                }
                Mode::Asked(time) if time.elapsed() < AT_ONCE => {}
                // Without a look back: whatever is unfinished may be waiting for ever.
                Mode::Asked(_) | Mode::Ends => signal_hook::low_level::exit(STOPPED.into()),
            }
        }
    }

    /// The signals that are ignored now, bit 0 for number 1. Only Linux tells without a call that is
    /// not safe; elsewhere none counts as ignored.
    fn ignored() -> u64 {
        let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
        let mask = status.lines().find_map(|line| line.strip_prefix("SigIgn:"));
        mask.and_then(|mask| u64::from_str_radix(mask.trim(), 16).ok()).unwrap_or(0)
    }
}
