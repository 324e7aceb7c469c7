//! `trap`: traps from a file or a line, judged.

use std::path::Path;

use clap::Args;
use rayon::prelude::*;

use super::answer_args::{AnswerArgs, Format};
use super::error::CliError;
use super::files::{in_file, names_file, read_text};
use super::judge_args::{JudgeArgs, ViewArgs, Whose, trap_help};
use super::level_args::LevelArgs;
use super::output::Output;
use super::over::{self, OverArgs};
use super::signals::Signals;
use super::soundness::{EngineArgs, ask_engine};
use crate::answers::Question;
use crate::answers::trap::{TrapAnswer, judge_all, judge_victim, order};
use crate::lines::Trap;
use crate::pages::{json, one_line, trap};
use crate::store::{Store, StoreError};

/// `trap`.
#[derive(Debug, Args)]
#[command(after_long_help = trap_help(), after_help = "--help explains every column.")]
pub struct TrapArgs {
    /// A PGN file of traps, or one line with the losing move marked ??, in quotes
    #[arg(required = true, value_name = "FILE or LINE")]
    pub trap: Vec<String>,
    #[command(flatten)]
    pub level: LevelArgs,
    #[command(flatten)]
    pub engine: EngineArgs,
    #[command(flatten)]
    pub judge: JudgeArgs,
    #[command(flatten)]
    pub view: ViewArgs,
    #[command(flatten)]
    pub over: OverArgs,
    #[command(flatten)]
    pub answer: AnswerArgs,
}

pub fn run(
    args: &TrapArgs,
    store: &Path,
    output: &mut Output,
    signals: &Signals,
) -> Result<(), CliError> {
    args.answer.only_in(&[Format::Table], &args.view.of_tables())?;
    let explain = [("--explain", args.judge.explain)];
    args.answer.only_in(&[Format::Table, Format::Json], &explain)?;
    let of_setters =
        [&args.level.of_setters()[..], &[("--engine", args.engine.is_asked())]].concat();
    let question = args.judge.of(args.level.question(args.answer.min_sample)?, &of_setters)?;
    let traps = read(&args.trap)?;
    args.view.shows_boards(traps.len(), args.judge.is_deeper())?;
    if args.over.is_asked() {
        if args.judge.side == Whose::Victim {
            let why = "--over is answered from the setter's side only";
            return Err(CliError::Usage(why.into()));
        }
        let chart = args.over.chart_file(store, file_of(&args.trap))?;
        let format = args.answer.format;
        return over::run(&args.over, chart, &traps, &question, format, output, signals);
    }
    let (view, store) = (args.view.view(args.judge.is_deeper()), Store::open(store)?);
    if args.judge.side == Whose::Victim {
        let answer = judge_victim(&store, &traps, &question)?;
        match args.answer.format {
            Format::Table => trap::victim_text(output.answer(), &answer, view)?,
            Format::Json => json(output.answer(), &answer)?,
            Format::Csv => trap::victim_csv(output.data(), &answer)?,
        }
        return Ok(());
    }
    let mut answer = judge_on_all_cores(&store, &traps, &question)?;
    ask_engine(&args.engine, answer.traps.iter_mut().zip(&traps), signals)?;
    answer.traps.sort_by(order);
    match args.answer.format {
        Format::Table => trap::text(output.answer(), &answer, view)?,
        Format::Json => json(output.answer(), &answer)?,
        Format::Csv => trap::csv(output.data(), &answer)?,
    }
    Ok(())
}

/// [`judge_all`] on as many threads as there are processors. Traps that are next to each other in a
/// file often share positions, so neighbours are judged together.
fn judge_on_all_cores(
    store: &Store,
    traps: &[Trap],
    question: &Question,
) -> Result<TrapAnswer, StoreError> {
    const TOGETHER: usize = 16;
    let judge = |traps| judge_all(store, traps, question);
    if traps.len() <= TOGETHER {
        return judge(traps);
    }
    let parts = traps.par_chunks(TOGETHER).map(judge).collect::<Result<Vec<_>, _>>()?;
    let mut parts = parts.into_iter();
    let mut answer = parts.next().map_or_else(|| judge(&[]), Ok)?;
    answer.traps.extend(parts.flat_map(|part| part.traps));
    Ok(answer)
}

/// The file that the arguments name, if they are no line.
pub(super) fn file_of(arguments: &[String]) -> Option<&Path> {
    let [file] = arguments else { return None };
    names_file(file).then(|| Path::new(file))
}

/// The traps of a file, if there is one of that name or it looks like one, else of a line, whose
/// words may be arguments of their own.
pub(super) fn read(arguments: &[String]) -> Result<Vec<Trap>, CliError> {
    match arguments {
        [file] if names_file(file) => read_file(Path::new(file)),
        words if words.iter().any(|word| names_file(word)) => {
            let why = "give one file of traps, or one line; a name with blanks needs quotes";
            Err(CliError::Usage(why.into()))
        }
        words => {
            let traps = Trap::from_text(&words.join(" ")).into_iter();
            traps.collect::<Result<_, _>>().map_err(|error| match words {
                [word] if !word.contains(char::is_whitespace) => {
                    CliError::Input(format!("{error}; nor is there a file '{}'", one_line(word)))
                }
                _ => CliError::input(error),
            })
        }
    }
}

/// The traps of a PGN file.
pub(super) fn read_file(path: &Path) -> Result<Vec<Trap>, CliError> {
    let traps = Trap::read_all(&read_text(path)?).into_iter();
    traps.collect::<Result<_, _>>().map_err(in_file(path))
}
