//! `moves`: what is played in a position, and claims about it or about many.

use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};

use super::answer_args::{AnswerArgs, Format};
use super::error::CliError;
use super::files::{in_file, read_text};
use super::line_args::LineArgs;
use super::movers::MoverArgs;
use super::output::Output;
use super::share::number_to;
use crate::answers::Question;
use crate::answers::across::{By, table_across};
use crate::answers::claims::{Answer, ListedClaim, MovesAnswer, evaluate_list};
use crate::answers::moves::table;
use crate::lines::{Claim, ClaimList};
use crate::pages::moves::Shown;
use crate::pages::{claims, json, moves};
use crate::store::Store;

/// `moves`.
#[derive(Debug, Args)]
#[command(after_help = "\
A line is written as \"1. e4 e5 2. Nf3\", \"e4 e5 Nf3\" or \"e2e4 e7e5 g1f3\"; without one, the start position is \
shown.

Claims: \"Nf6 first\", \"d6 second\", \"Nf6 top 3\", \"Nf6 >= 40%\", \"Nf6 <= 40%\", \"Nf6 about 40%\", \"Nf6 > Be7\", \
\"Nf6 score >= 55%\", \"Nf6 edge > 0.05\". A claim holds if the whole margin of error agrees with it, fails if none of \
it does, and is undecided otherwise. A file of claims has one line for each position, as in \"1. e4 c5: Nf3 first; Nc3 \
second\". `deadfall help figures` says more about claims and columns.

With --by, neighbouring ratings are taken together until their games are as good as 50 of different players. With \
--expect or --claims, CSV has a row for each claim, otherwise for each move; JSON has both.")]
pub struct MovesArgs {
    #[command(flatten)]
    pub line: LineArgs,
    /// Show the moves by the mover's rating or by pace, side by side
    #[arg(long, value_enum, conflicts_with = "claims")]
    pub by: Option<Apart>,
    /// With --by, show each move's score instead of its share
    #[arg(long, requires = "by")]
    pub score: bool,
    /// Check what everybody says, such as "Nf6 first"; may be given several times
    #[arg(long, value_name = "CLAIM", group = "claim")]
    pub expect: Vec<String>,
    /// Check a file of such claims instead of showing a position; - reads them from a pipe
    #[arg(long, value_name = "FILE", group = "claim", conflicts_with_all = ["line", "fen", "expect"])]
    pub claims: Option<PathBuf>,
    /// How near "about 40%" is in a claim: within N percentage points
    #[arg(long, value_name = "N", default_value_t = 5.0, value_parser = number_to(100.0), requires = "claim")]
    pub about: f64,
    /// Let an undecided claim count as a failed one in the exit status
    #[arg(long, requires = "claim")]
    pub strict: bool,
    #[command(flatten)]
    pub movers: MoverArgs,
    #[command(flatten)]
    pub answer: AnswerArgs,
}

/// How to separate movers.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Apart {
    /// The mover's rating
    Rating,
    /// The pace of the game
    Pace,
}

impl From<Apart> for By {
    fn from(by: Apart) -> By {
        match by {
            Apart::Rating => By::Rating,
            Apart::Pace => By::Pace,
        }
    }
}

pub fn run(args: &MovesArgs, store: &Path, output: &mut Output) -> Result<(), CliError> {
    let question = args.answer.question(&args.movers)?;
    args.answer.only_in(&[Format::Table], &[("--score", args.score)])?;
    // A row for each claim has no room for them.
    let by = [("--by beside --expect", args.by.is_some() && !args.expect.is_empty())];
    args.answer.only_in(&[Format::Table, Format::Json], &by)?;
    let about = args.about / 100.0;
    match &args.claims {
        Some(file) => listed(args, file, store, &question, about, output),
        None => position(args, store, &question, about, output),
    }
}

/// The exit status is that of the answers, whether or not they can be written.
fn fail_claims(answers: impl IntoIterator<Item = Answer>, strict: bool, output: &mut Output) {
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
    let line = args.line.line()?;
    let position = line.end();
    let claims = args.expect.iter().map(|claim| Claim::parse(claim, position));
    let claims = claims.collect::<Result<Vec<_>, _>>().map_err(CliError::input)?;
    let store = Store::open(store)?;
    let table = match args.by {
        Some(by) => table_across(&store, position, question, by.into())?,
        None => table(&store, position, question)?,
    };
    let answer = MovesAnswer::of(table, position, &claims, about);
    fail_claims(answer.claims.iter().map(|claim| claim.answer), args.strict, output);
    match args.answer.format {
        Format::Table => {
            let written = (!line.is_empty()).then(|| line.to_string());
            let shown = if args.score { Shown::Score } else { Shown::Share };
            moves::text(output.answer(), &answer, written.as_deref(), shown)?;
        }
        Format::Json => json(output.answer(), &answer)?,
        Format::Csv if answer.claims.is_empty() => moves::csv(output.data(), &answer.table)?,
        Format::Csv => {
            let MovesAnswer { table, claims } = &answer;
            let listed = claims
                .iter()
                .enumerate()
                .map(|(place, claim)| ListedClaim::of(table, place + 1, &line, claim.clone()));
            claims::csv(output.data(), &listed.collect::<Vec<_>>())?;
        }
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
    let list = ClaimList::read(&read_text(file)?).map_err(in_file(file))?;
    let report = evaluate_list(&Store::open(store)?, &list, question, about)?;
    fail_claims(report.claims.iter().map(|claim| claim.answer.answer), args.strict, output);
    match args.answer.format {
        Format::Table => claims::text(output.answer(), &report)?,
        Format::Json => json(output.answer(), &report)?,
        Format::Csv => claims::csv(output.data(), &report.claims)?,
    }
    Ok(())
}
