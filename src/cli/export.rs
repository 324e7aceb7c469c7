//! `export`: everything counted, as CSV.

use std::path::Path;

use super::args::ExportArgs;
use super::error::CliError;
use super::output::Output;
use crate::counts::Counts;
use crate::pages::export::{Cells, Groups, Names, total_groups, totals};
use crate::store::Store;

/// Runs the command.
pub fn run(args: &ExportArgs, store: &Path, output: &mut Output) -> Result<(), CliError> {
    let store = Store::open(store)?;
    let answer = output.answer();
    match (args.totals, args.names, args.groups) {
        (true, _, false) => totals(answer, store.totals())?,
        (true, _, true) => total_groups(answer, store.totals())?,
        (_, true, _) => {
            let mut names = Names::new(answer);
            for position in store.positions() {
                names.write(&position?)?;
            }
            names.finish()?;
        }
        (_, _, true) => {
            let mut groups = Groups::new(answer);
            for position in store.positions() {
                groups.write(&position?)?;
            }
            groups.finish()?;
        }
        _ => {
            let mut cells = Cells::new(answer);
            for position in store.positions() {
                cells.write(&position?)?;
            }
            cells.finish()?;
        }
    }
    Ok(())
}
