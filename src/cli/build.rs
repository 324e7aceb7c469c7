//! `build`: dumps into the store.

use std::path::Path;

use super::args::BuildArgs;
use super::error::CliError;
use super::movers::paces;
use super::output::{self, Output};
use super::watch::{Extent, watching};
use crate::build::{Memory, Plan, Progress, Stop, build};
use crate::games::Rules;
use crate::source::{Place, find_dumps};
use crate::store::Store;

/// Runs the command.
pub fn run(args: &BuildArgs, store: &Path, _output: &mut Output) -> Result<(), CliError> {
    let plan = plan(args, store)?;
    let stop = Stop::default();
    let on_signal = stop.clone();
    ctrlc::set_handler(move || on_signal.set())
        .map_err(|error| CliError::Usage(format!("cannot listen for Ctrl-C: {error}")))?;
    let progress = Progress::default();
    let sizes: Option<Vec<u64>> = plan.sources.iter().map(Place::file_bytes).collect();
    let extent =
        Extent { raw_bytes: sizes.map(|sizes| sizes.iter().sum()), dumps: plan.sources.len() };
    let outcome = watching(extent, args.quiet, &progress, || build(&plan, &progress, &stop))?;
    output::note(&format!("{:.2} s, {} games", outcome.seconds, progress.games()));
    Ok(())
}

/// The checked plan; what is not said is taken from the store, if there is one.
fn plan(args: &BuildArgs, store: &Path) -> Result<Plan, CliError> {
    let old = if store.exists() { Some(Store::open(store)?) } else { None };
    let (old_rules, old_keep) = match &old {
        Some(store) => (store.header().rules.clone(), store.header().keep_from),
        None => (Rules::default(), 5),
    };
    let rules = Rules {
        half_moves: args.half_moves.unwrap_or(old_rules.half_moves),
        since: args.since.or(old_rules.since),
        until: args.until.or(old_rules.until),
        paces: if args.pace.is_empty() { old_rules.paces } else { paces(&args.pace) },
        max_gap: args.max_gap.or(old_rules.max_gap),
    };
    let processors = std::thread::available_parallelism().map_or(1, usize::from);
    Ok(Plan {
        sources: find_dumps(&args.sources)?,
        store: store.to_owned(),
        rules,
        keep_from: args.keep_from.unwrap_or(old_keep),
        memory: args.memory.unwrap_or(Memory::DEFAULT),
        threads: args.threads.map_or(processors, usize::from),
        temp_dir: args.temp_dir.clone(),
        keep_going: args.keep_going,
    })
}
