//! `hunt`: traps that no list names.

use std::path::Path;
use std::time::Duration;

use indicatif::{HumanCount, ProgressBar, ProgressStyle};

use super::args::Format;
use super::error::CliError;
use super::files::{OutFile, read_text};
use super::hunt_args::HuntArgs;
use super::output::{self, Output};
use super::signals::Signals;
use crate::answers::Question;
use crate::answers::hunt::{Hunt, HuntAnswer, Progress, Repertoire, hunt};
use crate::lines::Line;
use crate::pages::{hunt as pages, json};
use crate::store::Store;

/// Runs the command.
pub fn run(
    args: &HuntArgs,
    store: &Path,
    output: &mut Output,
    signals: &Signals,
) -> Result<(), CliError> {
    let question = Question {
        filter: args.movers.filter()?,
        min_sample: args.answer.min_sample,
        ..Question::default()
    };
    let wanted = wanted(args)?;
    let file = args.pgn.clone().map(|path| OutFile::new(path, args.way)).transpose()?;
    let store = Store::open(store)?;
    let answer = watching(args.quiet, |watch| hunt(&store, &wanted, &question, watch))?;
    if let Some(file) = &file {
        write(file, &answer, signals)?;
    }
    match args.answer.format {
        Format::Table => pages::text(output.answer(), &answer, args.board)?,
        Format::Json => json(output.answer(), &answer)?,
        Format::Csv => pages::csv(output.data(), &answer)?,
    }
    Ok(())
}

fn wanted(args: &HuntArgs) -> Result<Hunt, CliError> {
    let setter = args.side.into();
    let line: Line = args.line.join(" ").parse().map_err(CliError::input)?;
    let repertoire = args.repertoire.as_deref().map(|path| -> Result<_, CliError> {
        let at = |what: String| CliError::Input(format!("{}: {what}", path.display()));
        let lines = Line::read_all(&read_text(path)?).map_err(|error| at(error.to_string()))?;
        let repertoire = Repertoire::of(setter, &lines);
        if repertoire.is_empty() {
            return Err(at(format!("it holds no move by {setter}")));
        }
        Ok(repertoire)
    });
    Ok(Hunt {
        reached: args.reached,
        min_share: args.min_share,
        null_drop: args.null_drop,
        fdr: args.fdr,
        min_drop: args.min_drop,
        top: args.top,
        repertoire: repertoire.transpose()?,
        ..Hunt::new(setter, line)
    })
}

/// Writes the findings as a file of traps; without any there is nothing to write.
fn write(file: &OutFile, answer: &HuntAnswer, signals: &Signals) -> Result<(), CliError> {
    if answer.found.is_empty() {
        output::note(&format!("deadfall: nothing found, {} is not written", file.path().display()));
        return Ok(());
    }
    signals.ask_first();
    file.write(|out| pages::pgn(out, answer).map_err(|error| file.failed(error)))?;
    signals.end_at_once()
}

/// Shows how far the walk has come, where somebody watches.
fn watching<T>(quiet: bool, work: impl FnOnce(&mut dyn FnMut(Progress)) -> T) -> T {
    if quiet || !output::is_watched() {
        return work(&mut |_| {});
    }
    let template = "walking [{bar:32}] half-move {pos} of {len}, {msg} positions";
    let style = ProgressStyle::with_template(template).expect("the template is a constant");
    let bar = ProgressBar::no_length().with_style(style.progress_chars("=> "));
    bar.enable_steady_tick(Duration::from_millis(100));
    let result = work(&mut |progress| {
        bar.set_length(progress.of.into());
        bar.set_position(progress.half_moves.into());
        bar.set_message(HumanCount(progress.positions).to_string());
    });
    bar.finish_and_clear();
    result
}
