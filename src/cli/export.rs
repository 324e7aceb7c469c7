//! `export`: everything counted, as CSV.

use std::path::Path;

use clap::Args;

use super::error::CliError;
use super::output::Output;
use crate::counts::Counts;
use crate::pages::export::{Cells, Names, totals};
use crate::store::Store;

/// `export`.
#[derive(Debug, Args)]
#[command(after_help = "\
One line for each position, move, rating (in steps of 100) of the player who moves, and pace, sorted. The same games give the \
same bytes, whatever the threads, the memory or the order of the files.")]
pub struct ExportArgs {
    /// Write how many games there are by colour, rating and pace instead
    #[arg(long, conflicts_with = "names")]
    pub totals: bool,
    /// Write the opening names that were learned from the games instead
    #[arg(long)]
    pub names: bool,
}

/// Runs the command.
pub fn run(args: &ExportArgs, store: &Path, output: &mut Output) -> Result<(), CliError> {
    let store = Store::open(store)?;
    if args.totals {
        totals(output.data(), store.totals())?;
    } else if args.names {
        let mut names = Names::new(output.data());
        for position in store.positions() {
            names.write(&position?)?;
        }
        names.finish()?;
    } else {
        let mut cells = Cells::new(output.data());
        for position in store.positions() {
            cells.write(&position?)?;
        }
        cells.finish()?;
    }
    Ok(())
}
