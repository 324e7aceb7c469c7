//! `moves`: what is played in a position, and claims about it.

use std::path::Path;

use super::args::{Format, MovesArgs};
use super::error::CliError;
use super::output::Output;
use crate::answers::Question;
use crate::answers::claims::Answer;
use crate::answers::moves::table;
use crate::lines::{Claim, Line};
use crate::pages::{json, moves};
use crate::store::Store;

/// Runs the command.
pub fn run(args: &MovesArgs, store: &Path, output: &mut Output) -> Result<(), CliError> {
    let min_sample = args.answer.min_sample;
    let question = Question { filter: args.movers.filter()?, min_sample, ..Question::default() };
    let line = line(args)?;
    let position = line.end();
    let claims = args.expect.iter().map(|claim| Claim::parse(claim, position));
    let claims = claims.collect::<Result<Vec<_>, _>>().map_err(CliError::input)?;
    let table = table(&Store::open(store)?, position, &question)?.with_claims(position, &claims);
    match args.answer.format {
        Format::Table => {
            let written = (!line.is_empty()).then(|| line.to_string());
            moves::text(output.answer(), &table, written.as_deref())?;
        }
        Format::Json => json(output.answer(), &table)?,
        Format::Csv => moves::csv(output.answer(), &table)?,
    }
    output.finish()?;
    let fails = table.claims.iter().any(|claim| claim.answer == Answer::Fails);
    if fails { Err(CliError::ClaimFails) } else { Ok(()) }
}

fn line(args: &MovesArgs) -> Result<Line, CliError> {
    let moves = args.line.as_deref().unwrap_or_default();
    match &args.fen {
        Some(fen) => Line::from_fen(fen, moves),
        None => moves.parse(),
    }
    .map_err(CliError::input)
}
