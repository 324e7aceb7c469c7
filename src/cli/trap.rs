//! `trap`: traps from a file or a line, judged.

use std::path::Path;

use rayon::prelude::*;

use super::args::{Format, TrapArgs};
use super::error::CliError;
use super::files::{names_file, read_text};
use super::judge_args::Whose;
use super::output::Output;
use super::signals::Signals;
use super::soundness::ask_engine;
use crate::answers::trap::{TrapAnswer, TrapLine, judge_all, judge_victim};
use crate::answers::{Cutoffs, Question};
use crate::lines::{Trap, TrapError};
use crate::pages::{json, trap};
use crate::store::{Store, StoreError};

/// Runs the command.
pub fn run(
    args: &TrapArgs,
    store: &Path,
    output: &mut Output,
    signals: &Signals,
) -> Result<(), CliError> {
    let question = question(args)?;
    let traps = read(&args.trap)?;
    let lines: Vec<TrapLine> = traps.iter().map(TrapLine::from).collect();
    let (view, store) = (args.judge.view(), Store::open(store)?);
    if args.judge.side == Whose::Victim {
        let answer = judge_victim(&store, &lines, &question)?;
        match args.answer.format {
            Format::Table => trap::victim_text(output.answer(), &answer, view)?,
            Format::Json => json(output.answer(), &answer)?,
            Format::Csv => trap::victim_csv(output.data(), &answer)?,
        }
        return Ok(());
    }
    let mut answer = judge_on_all_cores(&store, &lines, &question)?;
    ask_engine(&args.engine, answer.traps.iter_mut().zip(&lines), signals)?;
    match args.answer.format {
        Format::Table => trap::text(output.answer(), &answer, view)?,
        Format::Json => json(output.answer(), &answer)?,
        Format::Csv => trap::csv(output.data(), &answer)?,
    }
    Ok(())
}

/// [`judge_all`] on as many threads as there are processors. Traps that stand beside each other in a
/// file often share positions, so neighbours are judged together.
fn judge_on_all_cores(
    store: &Store,
    lines: &[TrapLine],
    question: &Question,
) -> Result<TrapAnswer, StoreError> {
    const TOGETHER: usize = 16;
    let judge = |lines| judge_all(store, lines, question);
    if lines.len() <= TOGETHER {
        return judge(lines);
    }
    let parts = lines.par_chunks(TOGETHER).map(judge).collect::<Result<Vec<_>, _>>()?;
    let mut parts = parts.into_iter();
    let mut answer = parts.next().map_or_else(|| judge(&[]), Ok)?;
    answer.traps.extend(parts.flat_map(|part| part.traps));
    Ok(answer)
}

fn question(args: &TrapArgs) -> Result<Question, CliError> {
    let cutoffs = cutoffs(args.common_from, args.occasional_from)?;
    let min_sample = args.answer.min_sample;
    let (filter, ahead) = (args.movers.filter()?, args.ahead);
    args.judge.of(Question { filter, min_sample, cutoffs, ahead, ..Question::default() })
}

/// The cut-offs, checked.
pub(super) fn cutoffs(common: f64, occasional: f64) -> Result<Cutoffs, CliError> {
    if !(occasional >= 0.0 && common >= occasional && common <= 1000.0) {
        return Err(CliError::Usage(format!(
            "--occasional-from {occasional} and --common-from {common}: the first must not be above the second, both within 0 and 1000"
        )));
    }
    Ok(Cutoffs { common, occasional })
}

/// The traps of a file, if there is one of that name or it looks like one, else of a line, whose
/// words may be arguments of their own.
fn read(arguments: &[String]) -> Result<Vec<Trap>, CliError> {
    match arguments {
        [file] if names_file(file) => read_file(Path::new(file)),
        words if words.iter().any(|word| names_file(word)) => {
            let why = "give one file of traps, or one line; a name with blanks needs quotes";
            Err(CliError::Usage(why.into()))
        }
        words => collect(Trap::from_text(&words.join(" ")), ""),
    }
}

/// The traps of a PGN file.
pub(super) fn read_file(path: &Path) -> Result<Vec<Trap>, CliError> {
    collect(Trap::read_all(&read_text(path)?), &format!("{}, ", path.display()))
}

fn collect(traps: Vec<Result<Trap, TrapError>>, file: &str) -> Result<Vec<Trap>, CliError> {
    let traps = traps.into_iter().collect::<Result<_, _>>();
    traps.map_err(|error| CliError::Input(format!("{file}{error}")))
}
