//! Progress of a long command, for the user.

use std::sync::atomic::{AtomicBool, Ordering};
use std::thread::Thread;
use std::time::{Duration, Instant};

use clap::{Args, ValueEnum};
use indicatif::{HumanCount, HumanDuration, ProgressBar, ProgressDrawTarget, ProgressStyle};

use super::output;
use crate::importer::{Phase, Progress};

/// What is shown while a long command works.
#[derive(Debug, Args)]
pub struct WatchArgs {
    /// How to show progress [default: bar on a terminal, else none]
    #[arg(long, value_enum, value_name = "HOW")]
    pub progress: Option<ShowProgress>,
    /// Show no progress
    #[arg(long, short, conflicts_with = "progress")]
    pub quiet: bool,
}

/// How progress is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum ShowProgress {
    /// A line that keeps changing
    Bar,
    /// A new line every ten seconds
    Plain,
    /// Not at all
    None,
}

/// How much there is to do.
#[derive(Clone, Copy, Debug, Default)]
pub struct Extent {
    /// Compressed bytes of all dumps, if all are files.
    pub raw_bytes: Option<u64>,
    /// How many dumps.
    pub dumps: usize,
}

const TICK: Duration = Duration::from_millis(100);
/// Between two plain lines.
const LINES: Duration = Duration::from_secs(10);

/// Shows progress on standard error while `work` runs; warnings in any case.
pub fn watching<T: Send>(
    extent: Extent,
    how: &WatchArgs,
    progress: &Progress,
    work: impl FnOnce() -> T + Send,
) -> T {
    let by_itself = if output::is_watched() { ShowProgress::Bar } else { ShowProgress::None };
    let how = if how.quiet { ShowProgress::None } else { how.progress.unwrap_or(by_itself) };
    let done = AtomicBool::new(false);
    std::thread::scope(|scope| {
        let shower = scope.spawn(|| {
            let mut display = Display::new(how, extent);
            while !done.load(Ordering::Relaxed) {
                display.show(progress);
                std::thread::park_timeout(TICK);
            }
            display.warn(progress);
            display.bar.finish_and_clear();
        });
        // Dropped also if `work` panics; else the display would wait for an end that never comes.
        let _ending = Ending { done: &done, shower: shower.thread() };
        work()
    })
}

/// Ends the display when it is dropped.
struct Ending<'w> {
    done: &'w AtomicBool,
    shower: &'w Thread,
}

impl Drop for Ending<'_> {
    fn drop(&mut self) {
        self.done.store(true, Ordering::Relaxed);
        self.shower.unpark();
    }
}

struct Display {
    how: ShowProgress,
    extent: Extent,
    bar: ProgressBar,
    started: Instant,
    next_line: Instant,
}

impl Display {
    fn new(how: ShowProgress, extent: Extent) -> Display {
        let target = match how {
            ShowProgress::Bar => ProgressDrawTarget::stderr(),
            ShowProgress::Plain | ShowProgress::None => ProgressDrawTarget::hidden(),
        };
        let bar = bar(extent);
        bar.set_draw_target(target);
        let started = Instant::now();
        Display { how, extent, bar, started, next_line: started + LINES }
    }

    fn show(&mut self, progress: &Progress) {
        self.warn(progress);
        match self.how {
            ShowProgress::Bar => self.show_bar(progress),
            ShowProgress::Plain if Instant::now() >= self.next_line => {
                output::note(&self.line(progress));
                self.next_line += LINES;
            }
            ShowProgress::Plain | ShowProgress::None => {}
        }
    }

    /// A disk that may be too small is worth a word before the work is done.
    fn warn(&self, progress: &Progress) {
        for left in progress.take_left() {
            self.bar.suspend(|| output::note(&format!("note: {left}")));
        }
        for tight in progress.take_tight() {
            let megabytes = |bytes: u64| HumanCount(bytes.div_ceil(1_000_000));
            let line = format!(
                "note: {} has {} MB free, about {} MB may be needed",
                tight.folder.display(),
                megabytes(tight.free),
                megabytes(tight.wanted)
            );
            self.bar.suspend(|| output::note(&line));
        }
    }

    fn phase(&self, progress: &Progress) -> String {
        match (progress.phase(), self.extent.dumps) {
            (Phase::Reading, 0 | 1) => "reading".to_owned(),
            (Phase::Reading, dumps) => format!("reading {} of {dumps}", progress.file() + 1),
            (Phase::Shortening, _) => "merging runs".to_owned(),
            (Phase::Merging, _) => "merging".to_owned(),
            (Phase::Writing, _) => "writing".to_owned(),
        }
    }

    /// Games and megabytes of text a second.
    fn speed(&self, progress: &Progress) -> String {
        let seconds = self.started.elapsed().as_secs_f64().max(0.001);
        let games = HumanCount((progress.games() as f64 / seconds) as u64);
        let megabytes = progress.text_bytes() as f64 / 1e6 / seconds;
        format!("{games} games/s, {megabytes:.0} MB/s")
    }

    fn show_bar(&self, progress: &Progress) {
        self.bar.set_prefix(self.phase(progress));
        match progress.phase() {
            Phase::Reading => {
                self.bar.set_position(progress.raw_bytes());
                self.bar.set_message(self.speed(progress));
            }
            Phase::Merging => {
                self.bar.set_message(format!("{:.0} % merged", 100.0 * progress.merged()));
            }
            Phase::Shortening | Phase::Writing => self.bar.set_message(""),
        }
        self.bar.tick();
    }

    fn line(&self, progress: &Progress) -> String {
        let phase = self.phase(progress);
        match progress.phase() {
            Phase::Reading => {
                let games = HumanCount(progress.games());
                let share = self.share_read(progress);
                format!("{phase}: {games} games{share}, {}", self.speed(progress))
            }
            Phase::Merging => format!("{phase}: {:.0} %", 100.0 * progress.merged()),
            Phase::Shortening | Phase::Writing => phase,
        }
    }

    /// How far reading has come and how long it will take, where all sizes are known.
    fn share_read(&self, progress: &Progress) -> String {
        let (read, all) = (progress.raw_bytes(), self.extent.raw_bytes.unwrap_or(0));
        if read == 0 || all == 0 {
            return String::new();
        }
        let share = (read as f64 / all as f64).min(1.0);
        let left = self.started.elapsed().mul_f64((1.0 - share) / share);
        format!(", {:.0} % of {all} bytes, {:#} left", 100.0 * share, HumanDuration(left))
    }
}

fn bar(extent: Extent) -> ProgressBar {
    let (bar, template) = match extent.raw_bytes {
        Some(bytes) => (
            ProgressBar::new(bytes),
            "{prefix} [{bar:32}] {percent}% of {total_bytes}, {msg}, {eta} left",
        ),
        None => (ProgressBar::no_length(), "{prefix} {spinner} {bytes}, {msg}"),
    };
    let style = ProgressStyle::with_template(template).expect("the template is a constant");
    bar.with_style(style.progress_chars("=> "))
}
