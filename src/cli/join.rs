//! `join`: stores built apart into one.

use std::path::Path;

use super::args::JoinArgs;
use super::build::processors;
use super::error::CliError;
use super::files::needs_folder;
use super::output;
use super::signals::Signals;
use super::watch::{Extent, watching};
use crate::games::Rules;
use crate::importer::{Memory, Plan, Progress, join};
use crate::pages::join::{JoinReport, text};
use crate::store::Store;

/// Runs the command.
pub fn run(args: &JoinArgs, store: &Path, signals: &Signals) -> Result<(), CliError> {
    needs_folder(store)?;
    let plan = plan(args, store)?;
    let stop = signals.ask_first();
    let progress = Progress::default();
    let work = || join(&plan, &args.stores, &progress, stop);
    let outcome = watching(Extent::default(), &args.watch, &progress, work)?;
    let joined = Store::open(store)?;
    let sources = &joined.header().sources;
    let report = JoinReport {
        dumps: sources.len() as u64,
        games_counted: sources.iter().map(|source| source.games_counted).sum(),
        keep_from: plan.keep_from,
        absent_may_lack: joined.header().absent_may_lack,
        positions_kept: outcome.positions,
        positions_dropped: outcome.positions_dropped,
        seconds: outcome.seconds,
        store_bytes: outcome.store_bytes,
    };
    let mut page = Vec::new();
    text(&mut page, &report)?;
    output::note(String::from_utf8_lossy(&page).trim_end());
    Ok(())
}

/// What is not said is taken from the store that is added to, if there is one.
fn plan(args: &JoinArgs, store: &Path) -> Result<Plan, CliError> {
    let old = if store.exists() { Some(Store::open(store)?) } else { None };
    let keep_from = old.map_or(5, |store| store.header().keep_from);
    Ok(Plan {
        sources: Vec::new(),
        store: store.to_owned(),
        rules: Rules::default(),
        keep_from: args.keep_from.unwrap_or(keep_from),
        memory: args.memory.unwrap_or(Memory::DEFAULT),
        threads: args.threads.map_or_else(processors, usize::from),
        temp_dir: None,
        keep_going: false,
    })
}
