//! `build`: dumps into the store.

use std::path::Path;

use super::args::BuildArgs;
use super::error::CliError;
use super::files::needs_folder;
use super::movers::paces;
use super::output;
use super::signals::Signals;
use super::watch::{Extent, watching};
use crate::games::{LeftOut, LeftOutTally, Rules};
use crate::importer::{DumpReport, Memory, Outcome, Plan, Progress, build};
use crate::pages::build::{BuildReport, text};
use crate::source::{Place, find_dumps};
use crate::store::Store;

/// Runs the command.
pub fn run(args: &BuildArgs, store: &Path, signals: &Signals) -> Result<(), CliError> {
    needs_folder(store)?;
    let plan = plan(args, store)?;
    let stop = signals.ask_first();
    let progress = Progress::default();
    let sizes: Option<Vec<u64>> = plan.sources.iter().map(Place::file_bytes).collect();
    let extent =
        Extent { raw_bytes: sizes.map(|sizes| sizes.iter().sum()), dumps: plan.sources.len() };
    let work = || build(&plan, &progress, stop);
    let outcome = watching(extent, &args.watch, &progress, work)?;
    let mut page = Vec::new();
    let report = report(&outcome, plan.keep_from);
    text(&mut page, &report)?;
    output::note(String::from_utf8_lossy(&page).trim_end());
    if report.games_counted == 0 {
        output::note(&none_counts(&report.left_out));
    }
    Ok(())
}

pub(super) fn processors() -> usize {
    std::thread::available_parallelism().map_or(1, usize::from)
}

fn report(outcome: &Outcome, keep_from: u64) -> BuildReport {
    let dumps = &outcome.dumps;
    let mut left_out = LeftOutTally::default();
    dumps.iter().for_each(|dump| left_out.merge(&dump.left_out));
    BuildReport {
        games_read: dumps.iter().map(|dump| dump.games_read).sum(),
        games_counted: dumps.iter().map(|dump| dump.games_counted).sum(),
        left_out,
        examples: examples(dumps),
        keep_from,
        positions_kept: outcome.positions,
        positions_dropped: outcome.positions_dropped,
        visits: outcome.visits_kept,
        visits_dropped: outcome.visits_dropped,
        seconds: outcome.seconds,
        bytes_read: outcome.text_bytes,
        store_bytes: outcome.store_bytes,
        nothing_in: match &dumps[..] {
            [_] => Vec::new(),
            several => several
                .iter()
                .filter(|dump| dump.games_counted == 0)
                .map(|dump| (dump.name.clone(), dump.games_read))
                .collect(),
        },
        incomplete: dumps
            .iter()
            .filter(|dump| !dump.complete)
            .map(|dump| dump.name.clone())
            .collect(),
    }
}

/// A dump of which nothing counts was hardly meant, such as a file of traps.
fn none_counts(left_out: &LeftOutTally) -> String {
    let reasons = left_out.rows().filter(|(_, games)| *games > 0);
    let reasons: Vec<String> =
        reasons.map(|(reason, games)| format!("{} {games}", reason.name())).collect();
    format!("warning: none of the games counts ({})", reasons.join(", "))
}

/// Where the first game of each kind is that was left out for what its text says.
fn examples(dumps: &[DumpReport]) -> Vec<(LeftOut, String)> {
    let mut found: Vec<(LeftOut, String)> = Vec::new();
    for dump in dumps {
        for example in &dump.examples {
            if found.iter().all(|(reason, _)| *reason != example.reason) {
                let ply =
                    example.ply.map_or(String::new(), |ply| format!(", half-move {}", ply + 1));
                let place =
                    format!("{}, game {}, byte {}{ply}", dump.name, example.game, example.byte);
                found.push((example.reason, place));
            }
        }
    }
    found
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
    Ok(Plan {
        sources: find_dumps(&args.sources)?,
        store: store.to_owned(),
        rules,
        keep_from: args.keep_from.unwrap_or(old_keep),
        memory: args.memory.unwrap_or(Memory::DEFAULT),
        threads: args.threads.map_or_else(processors, usize::from),
        temp_dir: args.temp_dir.clone(),
        keep_going: args.keep_going,
    })
}
