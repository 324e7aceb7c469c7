//! An engine's word on traps.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

use clap::Args;
use shakmaty::Chess;
use shakmaty::fen::Fen;
use shakmaty::uci::UciMove;

use super::error::CliError;
use super::output;
use super::signals::Signals;
use crate::answers::trap::{Evaluation, Evaluator, TrapReport, consult};
use crate::engine::{Engine, EngineError, EngineSettings};
use crate::lines::Trap;
use crate::terms::EN_PASSANT;

/// Options about the engine.
#[derive(Debug, Args)]
pub struct EngineArgs {
    /// Ask a chess engine whether each trap is sound; PATH is a program that speaks UCI
    #[arg(long, value_name = "PATH")]
    engine: Option<PathBuf>,
    /// Let the engine look at N positions in each search; it makes four for each trap, and one for
    /// each further slip
    #[arg(long, value_name = "N", default_value_t = 200_000, requires = "engine",
        value_parser = clap::value_parser!(u64).range(1..))]
    engine_nodes: u64,
    /// Give the engine up once it has not answered for S seconds
    #[arg(long, value_name = "S", default_value_t = 30.0, requires = "engine")]
    engine_timeout: f64,
}

const LEAST_PATIENCE: Duration = Duration::from_millis(10);
const MOST_PATIENCE: Duration = Duration::from_secs(86_400);

impl EngineArgs {
    /// Whether an engine is to be asked.
    pub fn is_asked(&self) -> bool {
        self.engine.is_some()
    }

    fn settings(&self) -> Result<EngineSettings, CliError> {
        let patience = Duration::try_from_secs_f64(self.engine_timeout).ok();
        let patience = patience.filter(|time| (LEAST_PATIENCE..=MOST_PATIENCE).contains(time));
        let patience = patience.ok_or_else(|| {
            let [least, most] = [LEAST_PATIENCE, MOST_PATIENCE].map(|time| time.as_secs_f64());
            // Never hundreds of digits.
            let given = self.engine_timeout;
            let given = if given.abs() < 1e9 { given.to_string() } else { format!("{given:e}") };
            CliError::Usage(format!("--engine-timeout {given}: give {least} to {most} seconds"))
        })?;
        Ok(EngineSettings { nodes: self.engine_nodes, patience, stop: Arc::default() })
    }
}

/// Asks the engine, if there is one, about each trap, given as its report and its line. An
/// engine that is of no use is noted in the answer and on standard error, and does no other harm.
pub fn ask_engine<'a>(
    args: &EngineArgs,
    traps: impl Iterator<Item = (&'a mut TrapReport, &'a Trap)>,
    signals: &Signals,
) -> Result<(), CliError> {
    let Some(path) = &args.engine else { return Ok(()) };
    // An engine is not to outlive us.
    let settings = EngineSettings { stop: signals.ask_first().flag(), ..args.settings()? };
    let engine = Engine::start(path, settings).map_err(|error| sentence(path, &error));
    let asked = engine.map(|engine| Asked { engine, path });
    let consulted = consult(asked, traps);
    signals.end_at_once();
    signals.check()?;
    if let Err(why) = consulted {
        output::note(&format!("deadfall: {why}; the answer is without it"));
    }
    Ok(())
}

fn sentence(path: &Path, error: &EngineError) -> String {
    let error = match error {
        EngineError::Start(error) => {
            format!("it cannot be started: {}", crate::source::plain(error))
        }
        other => other.to_string(),
    };
    format!("the engine {} is of no use: {error}", path.display())
}

/// A running engine.
struct Asked<'a> {
    engine: Engine,
    path: &'a Path,
}

impl Evaluator for Asked<'_> {
    fn name(&self) -> String {
        self.engine.name().to_owned()
    }

    fn evaluate(&mut self, position: &Chess) -> Result<Evaluation, String> {
        let fen = Fen::from_position(position, EN_PASSANT).to_string();
        let said = self.engine.evaluate(&fen).and_then(|said| {
            let uci = said.best.parse::<UciMove>().ok();
            let best = uci.and_then(|uci| uci.to_move(position).ok());
            let best = best.ok_or_else(|| not_legal(&said.best))?;
            Ok(Evaluation { cp: said.score.clamped(), best, nodes: said.nodes })
        });
        said.map_err(|error| sentence(self.path, &error))
    }
}

fn not_legal(best: &str) -> EngineError {
    let plain = |letter: char| if letter.is_control() { ' ' } else { letter };
    let word: String = best.chars().take(40).map(plain).collect();
    EngineError::Nonsense { what: format!("the move '{word}', which is not legal") }
}
