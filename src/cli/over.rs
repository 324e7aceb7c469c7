//! `trap --over`: the same traps in several stores.

use std::path::{Path, PathBuf};

use clap::Args;

use super::answer_args::Format;
use super::error::CliError;
use super::files::{OutFiles, OverwriteArgs, input, not_printed_into};
use super::output::Output;
use super::signals::Signals;
use crate::answers::Question;
use crate::answers::months::{Month, MonthsAnswer, StoreMonth, judge_months};
use crate::counts::Counts;
use crate::games::Rules;
use crate::lines::Trap;
use crate::pages::{json, months};
use crate::store::Store;

/// Stores beside each other.
#[derive(Debug, Args)]
pub struct OverArgs {
    /// Compare several stores, one --over for each, in the order of their dates, with the
    /// change a month
    #[arg(long, value_name = "STORE", conflicts_with_all = [
        "each", "board", "slip_below", "by", "explain", "engine", "ahead", "common_from", "occasional_from",
    ])]
    pub over: Vec<PathBuf>,
    /// With --over, also draw the figures (SVG)
    #[arg(long, value_name = "OUT.svg", requires = "over")]
    pub chart: Option<PathBuf>,
    #[command(flatten)]
    pub overwrite: OverwriteArgs,
}

/// Answers for all stores, and draws the chart.
pub fn run(
    args: &OverArgs,
    chart: Option<OutFiles>,
    traps: &[Trap],
    question: &Question,
    format: Format,
    output: &mut Output,
    signals: &Signals,
) -> Result<(), CliError> {
    let answer = over(&args.over, traps, question)?;
    if let Some(file) = chart {
        file.write_texts(signals, [months::chart(&answer)])?;
    }
    match format {
        Format::Table => months::text(output.answer(), &answer)?,
        Format::Json => json(output.answer(), &answer)?,
        Format::Csv => months::csv(output.data(), &answer)?,
    }
    Ok(())
}

/// The traps in the stores of these paths, two or more.
pub fn over(
    paths: &[PathBuf],
    traps: &[Trap],
    question: &Question,
) -> Result<MonthsAnswer, CliError> {
    let stores = in_order(paths)?;
    let months: Vec<Month<'_, Store>> =
        stores.iter().map(|(store, at, _)| Month { counts: store, at: *at }).collect();
    let judged = traps.iter().map(|trap| judge_months(&months, trap, question));
    Ok(MonthsAnswer {
        filter: question.filter,
        min_sample: question.min_sample,
        traps: judged.collect::<Result<_, _>>()?,
        stores: stores.iter().map(|(.., month)| month.clone()).collect(),
    })
}

/// The stores in the order of their dates, with the middle of these in months.
fn in_order(paths: &[PathBuf]) -> Result<Vec<(Store, f64, StoreMonth)>, CliError> {
    if paths.len() < 2 {
        let why = "--over takes two stores or more: --over may.redb --over june.redb";
        return Err(CliError::Usage(why.into()));
    }
    let mut stores = paths.iter().map(|path| dated(path)).collect::<Result<Vec<_>, _>>()?;
    for (place, (store, _, month)) in stores.iter().enumerate() {
        for (other, _, earlier) in &stores[..place] {
            agree((other, earlier), (store, month))?;
        }
    }
    stores.sort_by(|(_, a, _), (_, b, _)| a.total_cmp(b));
    let start = stores[0].1;
    if stores.iter().all(|(_, at, _)| *at == start) {
        let why = "the stores of --over are of the same dates: there is no change in time to show";
        return Err(CliError::Usage(why.into()));
    }
    for (_, at, month) in &mut stores {
        month.month = *at - start;
    }
    Ok(stores)
}

fn dated(path: &Path) -> Result<(Store, f64, StoreMonth), CliError> {
    not_printed_into(&input(path))?;
    let store = Store::open(path)?;
    let games = store.header().games();
    let name = path.display().to_string();
    let Some((first, last)) = games.first.zip(games.last) else {
        return Err(CliError::Usage(format!(
            "{name} holds no game with a date: --over cannot tell when its games were played"
        )));
    };
    let at = 0.5 * (first.in_months() + last.in_months());
    let [first, last] = [first, last].map(|date| date.to_string());
    let (undated, games) = (games.undated, games.games_counted);
    let limits = store.limits().clone();
    let keep_from = limits.keep_from;
    let month = StoreMonth { name, first, last, undated, games, month: 0.0, keep_from, limits };
    Ok((store, at, month))
}

/// Stores that count differently, or the same games, are not compared.
fn agree(
    (one, first): (&Store, &StoreMonth),
    (other, second): (&Store, &StoreMonth),
) -> Result<(), CliError> {
    let [a, b] = [one, other].map(|store| store.header());
    let both = format!("{} and {}", first.name, second.name);
    // Dates are what they are meant to differ in.
    let theirs = Rules { since: a.rules.since, until: a.rules.until, ..b.rules };
    if let Some((option, ours, theirs)) = a.rules.difference(&theirs) {
        return Err(CliError::Usage(format!(
            "{both} were built with different {option} ({ours} and {theirs}): their figures cannot be compared"
        )));
    }
    let shared =
        a.sources.iter().find(|ours| b.sources.iter().any(|theirs| theirs.hash == ours.hash));
    match shared {
        None => Ok(()),
        Some(source) => Err(CliError::Usage(format!(
            "{both} both hold {}: one store a month is meant",
            source.name
        ))),
    }
}

impl OverArgs {
    /// The file for the chart of traps that may come from a file, if one is asked for.
    pub fn chart_file(
        &self,
        store: &Path,
        traps: Option<&Path>,
    ) -> Result<Option<OutFiles>, CliError> {
        let Some(path) = self.chart.clone() else { return Ok(None) };
        let inputs = self.over.iter().map(PathBuf::as_path).chain(traps).map(input);
        let inputs: Vec<_> = inputs.collect();
        OutFiles::new(vec![path], self.overwrite, store, &inputs).map(Some)
    }

    /// Whether several stores are asked.
    pub fn is_asked(&self) -> bool {
        !self.over.is_empty()
    }

    /// Refuses what would have no effect; `named` is whether a store is named besides.
    pub fn check(&self, named: bool) -> Result<(), CliError> {
        self.overwrite.needs_a_file(self.chart.is_some())?;
        match self.is_asked() && named {
            true => Err(CliError::Usage(
                "--store is not read with --over: name it with one more --over".into(),
            )),
            false => Ok(()),
        }
    }
}
