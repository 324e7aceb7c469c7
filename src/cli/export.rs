//! `export`: everything counted, as CSV.

use std::path::Path;

use super::args::ExportArgs;
use super::error::CliError;
use super::output::Output;
use crate::counts::Counts;
use crate::pages::export::{Cells, Names, totals};
use crate::store::Store;

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
