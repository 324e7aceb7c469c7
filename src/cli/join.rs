//! `join`: stores built apart into one.

use std::path::{Path, PathBuf};

use clap::Args;

use super::error::CliError;
use super::files::needs_folder;
use super::import_args::ImportArgs;
use super::output;
use super::signals::Signals;
use super::watch::{Extent, WatchArgs, watching};
use crate::importer::{Plan, Progress, join};
use crate::pages::build::join_text;
use crate::store::Store;

/// `join`.
#[derive(Debug, Args)]
#[command(after_help = "\
Counts are added first, then positions with too few games are dropped. If the store at --store exists, it is one of \
the stores added up; otherwise it is made. The others are not changed.

A position that was dropped from a store may lack games, and answers say how many. Stores built with --keep-from 1 \
lack nothing: joined, they are what one build of all their dumps would be. `deadfall help sharing` says more.")]
pub struct JoinArgs {
    /// Stores to add together into the one at --store
    #[arg(required = true, value_name = "STORE")]
    pub stores: Vec<PathBuf>,
    #[command(flatten)]
    pub import: ImportArgs,
    #[command(flatten)]
    pub watch: WatchArgs,
}

pub fn run(args: &JoinArgs, store: &Path, signals: &Signals) -> Result<(), CliError> {
    needs_folder(store)?;
    let plan = plan(args, store)?;
    let stop = signals.ask_first();
    let progress = Progress::default();
    let work = || join(&plan, &args.stores, &progress, stop);
    let built = watching(Extent::default(), &args.watch, &progress, work)?;
    output::note(join_text(&built).trim_end());
    Ok(())
}

/// What is not said is taken from the store that is added to, if there is one.
fn plan(args: &JoinArgs, store: &Path) -> Result<Plan, CliError> {
    let old = if store.exists() { Some(Store::open(store)?) } else { None };
    let plan = Plan::new(store, Vec::new());
    let keep_from = old.map_or(plan.keep_from, |store| store.header().keep_from);
    Ok(args.import.applied_to(Plan { keep_from, ..plan }))
}
