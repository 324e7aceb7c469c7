//! `export`: everything counted, as CSV.

use std::path::Path;

use clap::Args;

use super::error::CliError;
use super::output::Output;
use crate::counts::Counts;
use crate::pages::export::{Of, Positions, total_groups, totals};
use crate::store::Store;

/// `export`.
#[derive(Debug, Args)]
#[command(after_help = "\
One line for each position, move, rating (in steps of 100) of the player who moves, and pace, sorted. The same games \
give the same bytes, whatever the threads, the memory or the order of the files. `deadfall help formats` explains the \
columns.

Every player belongs to one of 32 groups, 0 to 31, by a hash of the name, the same in every game and dump: groups show \
how much the games of one player are alike without keeping any name.")]
pub struct ExportArgs {
    /// Write how many games there are by colour, rating and pace instead
    #[arg(long, conflicts_with = "names")]
    pub totals: bool,
    /// Write the opening names that were learned from the games instead
    #[arg(long, conflicts_with = "groups")]
    pub names: bool,
    /// Write games by group of players instead; with --totals, those of the totals
    #[arg(long)]
    pub groups: bool,
}

pub fn run(args: &ExportArgs, store: &Path, output: &mut Output) -> Result<(), CliError> {
    let store = Store::open(store)?;
    let answer = output.data();
    if args.totals {
        let write = if args.groups { total_groups } else { totals };
        return Ok(write(answer, store.totals())?);
    }
    let of = match (args.names, args.groups) {
        (true, _) => Of::Names,
        (_, true) => Of::Groups,
        _ => Of::Cells,
    };
    let mut rows = Positions::new(answer, of);
    for position in store.positions() {
        rows.write(&position?)?;
    }
    Ok(rows.finish()?)
}
