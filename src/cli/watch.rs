//! A progress bar for a build, where somebody watches.

use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use indicatif::{HumanCount, ProgressBar, ProgressStyle};

use super::output;
use crate::build::{Phase, Progress};

/// How much there is to do.
#[derive(Clone, Copy, Debug)]
pub struct Extent {
    /// Compressed bytes of all dumps, if all are files.
    pub raw_bytes: Option<u64>,
    /// How many dumps.
    pub dumps: usize,
}

const TICK: Duration = Duration::from_millis(100);

/// Shows a bar on standard error while `work` runs, if it is a terminal and not `quiet`.
pub fn watching<T: Send>(
    extent: Extent,
    quiet: bool,
    progress: &Progress,
    work: impl FnOnce() -> T + Send,
) -> T {
    if quiet || !output::is_watched() {
        return work();
    }
    let done = AtomicBool::new(false);
    std::thread::scope(|scope| {
        scope.spawn(|| {
            let bar = bar(extent);
            let started = Instant::now();
            while !done.load(Ordering::Relaxed) {
                show(&bar, extent, progress, started);
                std::thread::park_timeout(TICK);
            }
            bar.finish_and_clear();
        });
        let result = work();
        done.store(true, Ordering::Relaxed);
        result
    })
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

fn show(bar: &ProgressBar, extent: Extent, progress: &Progress, started: Instant) {
    let seconds = started.elapsed().as_secs_f64().max(0.001);
    let rate = progress.games() as f64 / seconds;
    let megabytes = progress.text_bytes() as f64 / 1e6 / seconds;
    match progress.phase() {
        Phase::Reading => {
            bar.set_prefix(match extent.dumps {
                1 => "reading".to_owned(),
                dumps => format!("reading {} of {dumps}", progress.file() + 1),
            });
            bar.set_position(progress.raw_bytes());
            bar.set_message(format!("{} games/s, {megabytes:.0} MB/s", HumanCount(rate as u64)));
        }
        Phase::Merging => {
            bar.set_prefix("merging");
            bar.set_message(format!("{:.0} % merged", 100.0 * progress.merged()));
        }
        Phase::Writing => bar.set_prefix("writing"),
    }
    bar.tick();
}
