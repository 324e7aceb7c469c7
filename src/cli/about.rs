//! `about`: what the store holds, and whether it is sound.

use std::io::Write;
use std::path::Path;

use clap::Args;

use super::answer_args::Format;
use super::error::CliError;
use super::output::Output;
use crate::counts::Counts;
use crate::pages::about::{About, Level, csv, text};
use crate::pages::json;
use crate::pages::slopes::{PaceSlope, Slopes};
use crate::store::{Store, StoreError, Summary, schema, verify};

/// `about`.
#[derive(Debug, Args)]
pub struct AboutArgs {
    /// Read the whole store and check that nothing in it is damaged
    #[arg(long)]
    pub verify: bool,
    /// Show only how fast scores rise with what the ratings predict, one row a pace
    #[arg(long, conflicts_with = "verify")]
    pub slopes: bool,
    /// How to print the answer
    #[arg(long, value_enum, default_value_t = Format::Table)]
    pub format: Format,
}

pub fn run(args: &AboutArgs, path: &Path, output: &mut Output) -> Result<(), CliError> {
    let store = Store::open(path)?;
    if args.slopes {
        return slopes(&store, args.format, output);
    }
    let about = about(path, &store);
    match args.format {
        Format::Table => text(output.answer(), &about)?,
        Format::Json => json(output.answer(), &about)?,
        Format::Csv => csv(output.data(), &about)?,
    }
    if args.verify { check(path, args.format, output) } else { Ok(()) }
}

fn slopes(store: &Store, format: Format, output: &mut Output) -> Result<(), CliError> {
    let slopes = Slopes { slopes: PaceSlope::all(store.totals()) };
    match format {
        Format::Table => output.answer().write_all(slopes.text().as_bytes())?,
        Format::Json => json(output.answer(), &slopes)?,
        Format::Csv => slopes.csv(output.data())?,
    }
    Ok(())
}

/// Reads everything; what is damaged is listed one finding a line.
fn check(path: &Path, format: Format, output: &mut Output) -> Result<(), CliError> {
    let report = verify(path)?;
    if report.is_sound() {
        if format == Format::Table {
            let (positions, cells) = (report.positions, report.cells);
            writeln!(
                output.answer(),
                "\nChecked {positions} positions and {cells} cells: all sound."
            )?;
        }
        return Ok(());
    }
    output.finish()?;
    report.findings.iter().for_each(|finding| super::output::note(finding));
    let what = match report.findings.len() as u64 + report.more {
        1 => "1 finding".to_owned(),
        several => format!("{several} findings"),
    };
    Err(StoreError::Damaged { path: path.to_owned(), what }.into())
}

fn about(path: &Path, store: &Store) -> About {
    let header = store.header();
    let Summary { positions, cells, visits, .. } = *store.summary();
    About {
        format: schema::FORMAT,
        sources: header.sources.clone(),
        games: header.games(),
        positions,
        cells,
        visits,
        visits_dropped: header.visits_dropped,
        half_moves: header.rules.half_moves,
        keep_from: header.keep_from,
        absent_may_lack: header.absent_may_lack,
        rules: header.rules.clone(),
        levels: Level::all(store.totals()),
        slopes: PaceSlope::all(store.totals()),
        store_bytes: path.metadata().ok().map(|metadata| metadata.len()),
        names_given_up: header.names_given_up,
    }
}
