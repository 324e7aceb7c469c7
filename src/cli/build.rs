//! `build`: dumps into the store.

use std::path::{Path, PathBuf};

use clap::Args;

use super::error::CliError;
use super::files::{each_once, needs_folder};
use super::import_args::ImportArgs;
use super::movers::paces;
use super::output;
use super::signals::Signals;
use super::watch::{Extent, WatchArgs, watching};
use crate::games::{DateBound, Rules};
use crate::importer::{Plan, Progress, build};
use crate::pages::build::text;
use crate::source::{Place, find_dumps};
use crate::store::Store;
use crate::terms::Pace;

/// `build`.
#[derive(Debug, Args)]
#[command(after_help = "\
Dumps may be plain PGN or compressed with zstd, gzip or bzip2; the content decides, not the name. Of a folder, the \
files with .pgn in their names are counted. Games without ratings are left out; the summary at the end says what was \
left out, and why.

A store that exists is added to, and options that are not given are taken from it. A dump that is already in is \
refused. `deadfall help month` goes through a real month step by step.")]
pub struct BuildArgs {
    /// Dumps: files, folders of them, or - for standard input
    #[arg(required = true, value_name = "SOURCE")]
    pub sources: Vec<PathBuf>,
    /// Count the first N half-moves of each game; a move of each side makes two [default: 30]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1000))]
    pub half_moves: Option<u16>,
    #[command(flatten)]
    pub import: ImportArgs,
    /// Keep temporary files in this folder [default: beside the store]
    #[arg(long, value_name = "DIR")]
    pub temp_dir: Option<PathBuf>,
    /// Leave out games before this day or month, such as 2031-05-17 or 2031-05
    #[arg(long, value_name = "DATE")]
    pub since: Option<DateBound>,
    /// Leave out games after this day or month
    #[arg(long, value_name = "DATE")]
    pub until: Option<DateBound>,
    /// Count only games of these paces, such as blitz,rapid: bullet, blitz, rapid, classical,
    /// correspondence, unknown
    #[arg(long, value_name = "PACE", value_delimiter = ',')]
    pub pace: Vec<Pace>,
    /// Leave out games between players more than N rating points apart
    #[arg(long, value_name = "N")]
    pub max_gap: Option<u16>,
    /// Count a dump that breaks off as far as it goes, and mark it as incomplete
    #[arg(long)]
    pub keep_going: bool,
    #[command(flatten)]
    pub watch: WatchArgs,
}

pub fn run(args: &BuildArgs, store: &Path, signals: &Signals) -> Result<(), CliError> {
    needs_folder(store)?;
    if let Some(dir) = args.temp_dir.as_deref().filter(|dir| !dir.is_dir()) {
        return Err(CliError::File(format!(
            "--temp-dir {}: there is no such folder; make it first, or name another",
            dir.display()
        )));
    }
    let plan = plan(args, store)?;
    let stop = signals.ask_first();
    let progress = Progress::default();
    let sizes: Option<Vec<u64>> = plan.sources.iter().map(Place::file_bytes).collect();
    let extent =
        Extent { raw_bytes: sizes.map(|sizes| sizes.iter().sum()), dumps: plan.sources.len() };
    let work = || build(&plan, &progress, stop);
    let built = watching(extent, &args.watch, &progress, work)?;
    output::note(text(&built).trim_end());
    Ok(())
}

/// The checked plan; what is not said is taken from the store, if there is one.
fn plan(args: &BuildArgs, store: &Path) -> Result<Plan, CliError> {
    let old = if store.exists() { Some(Store::open(store)?) } else { None };
    let plan = Plan::new(store, each_once(find_dumps(&args.sources)?)?);
    let (old_rules, keep_from) = match &old {
        Some(store) => (store.header().rules.clone(), store.header().keep_from),
        None => (plan.rules.clone(), plan.keep_from),
    };
    let rules = Rules {
        half_moves: args.half_moves.unwrap_or(old_rules.half_moves),
        since: args.since.or(old_rules.since),
        until: args.until.or(old_rules.until),
        paces: if args.pace.is_empty() { old_rules.paces } else { paces(&args.pace) },
        max_gap: args.max_gap.or(old_rules.max_gap),
    };
    if let (Some(since), Some(until)) = (rules.since, rules.until)
        && since.excludes_until(until)
    {
        return Err(CliError::Usage(format!(
            "--since {since} comes after --until {until}: no game is left"
        )));
    }
    let (temp_dir, keep_going) = (args.temp_dir.clone(), args.keep_going);
    Ok(args.import.applied_to(Plan { rules, keep_from, temp_dir, keep_going, ..plan }))
}
