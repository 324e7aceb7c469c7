//! `moves`: what is played in a position, and claims about it or about many.

use std::path::Path;

use super::args::{Format, MovesArgs};
use super::error::CliError;
use super::files::read_text;
use super::output::Output;
use crate::answers::Question;
use crate::answers::claims::{Answer, judge_listed};
use crate::answers::moves::table;
use crate::lines::{Claim, ClaimList, Line};
use crate::pages::{claims, json, moves};
use crate::store::Store;

/// Runs the command.
pub fn run(args: &MovesArgs, store: &Path, output: &mut Output) -> Result<(), CliError> {
    let min_sample = args.answer.min_sample;
    let question = Question { filter: args.movers.filter()?, min_sample, ..Question::default() };
    if !(0.0..=100.0).contains(&args.about) {
        return Err(CliError::Usage(format!("--about {}: give points from 0 to 100", args.about)));
    }
    let about = args.about / 100.0;
    match &args.claims {
        Some(file) => listed(args, file, store, &question, about, output),
        None => position(args, store, &question, about, output),
    }
}

/// The exit status is that of the answers, whether or not they can be written.
fn judge(answers: impl IntoIterator<Item = Answer>, strict: bool, output: &mut Output) {
    let spoils = |answer| answer == Answer::Fails || strict && answer == Answer::Undecided;
    if answers.into_iter().any(spoils) {
        output.claim_fails();
    }
}

/// Shows one position and the answers to the claims about it.
fn position(
    args: &MovesArgs,
    store: &Path,
    question: &Question,
    about: f64,
    output: &mut Output,
) -> Result<(), CliError> {
    let line = line(args)?;
    let position = line.end();
    let claims = args.expect.iter().map(|claim| Claim::parse(claim, position));
    let claims = claims.collect::<Result<Vec<_>, _>>().map_err(CliError::input)?;
    let table = table(&Store::open(store)?, position, question)?;
    let table = table.with_claims(position, &claims, about);
    judge(table.claims.iter().map(|claim| claim.answer), args.strict, output);
    match args.answer.format {
        Format::Table => {
            let written = (!line.is_empty()).then(|| line.to_string());
            moves::text(output.answer(), &table, written.as_deref())?;
        }
        Format::Json => json(output.answer(), &table)?,
        Format::Csv => moves::csv(output.data(), &table)?,
    }
    Ok(())
}

/// Judges a file of claims.
fn listed(
    args: &MovesArgs,
    file: &Path,
    store: &Path,
    question: &Question,
    about: f64,
    output: &mut Output,
) -> Result<(), CliError> {
    let name = file.display();
    let list = ClaimList::read(&read_text(file)?)
        .map_err(|error| CliError::Input(format!("{name}: {error}")))?;
    let report = judge_listed(&Store::open(store)?, &list, question, about)?;
    judge(report.claims.iter().map(|claim| claim.answer.answer), args.strict, output);
    match args.answer.format {
        Format::Table => claims::text(output.answer(), &report)?,
        Format::Json => json(output.answer(), &report)?,
        Format::Csv => claims::csv(output.data(), &report)?,
    }
    Ok(())
}

fn line(args: &MovesArgs) -> Result<Line, CliError> {
    let moves = args.line.join(" ");
    match &args.fen {
        Some(fen) => Line::from_fen(fen, &moves),
        None => moves.parse(),
    }
    .map_err(CliError::input)
}
