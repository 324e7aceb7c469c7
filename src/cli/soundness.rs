//! An engine's word on traps.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

use clap::Args;
use shakmaty::fen::Fen;
use shakmaty::san::SanPlus;
use shakmaty::uci::UciMove;
use shakmaty::{Chess, Move, Position};

use super::error::CliError;
use super::output;
use super::signals::Signals;
use crate::answers::trap::{EngineEvidence, TrapLine, TrapReport};
use crate::engine::{Engine, EngineError, EngineSettings};
use crate::terms::EN_PASSANT;

/// Options about the engine.
#[derive(Debug, Args)]
pub struct EngineArgs {
    /// Ask a chess engine whether each trap is sound; PATH is a program that speaks UCI
    #[arg(long, value_name = "PATH")]
    engine: Option<PathBuf>,
    /// Let the engine look at N positions in each search; it makes four for each trap
    #[arg(long, value_name = "N", default_value_t = 200_000, requires = "engine",
        value_parser = clap::value_parser!(u64).range(1..))]
    engine_nodes: u64,
    /// Do without the engine once it has not answered for S seconds
    #[arg(long, value_name = "S", default_value_t = 30.0, requires = "engine")]
    engine_timeout: f64,
}

const LEAST_PATIENCE: Duration = Duration::from_millis(10);
const MOST_PATIENCE: Duration = Duration::from_secs(86_400);

impl EngineArgs {
    fn settings(&self) -> Result<EngineSettings, CliError> {
        let patience = Duration::try_from_secs_f64(self.engine_timeout).ok();
        let patience = patience.filter(|time| (LEAST_PATIENCE..=MOST_PATIENCE).contains(time));
        let patience = patience.ok_or_else(|| {
            let [least, most] = [LEAST_PATIENCE, MOST_PATIENCE].map(|time| time.as_secs_f64());
            let given = self.engine_timeout;
            CliError::Usage(format!("--engine-timeout {given}: give {least} to {most} seconds"))
        })?;
        Ok(EngineSettings { nodes: self.engine_nodes, patience, stop: Arc::default() })
    }
}

/// Asks the engine, if there is one, about each trap, given as its report and its line. An
/// engine that is of no use is noted in the answer and on standard error, and does no other harm.
pub fn ask_engine<'a>(
    args: &EngineArgs,
    traps: impl Iterator<Item = (&'a mut TrapReport, &'a TrapLine)>,
    signals: &Signals,
) -> Result<(), CliError> {
    let Some(path) = &args.engine else { return Ok(()) };
    // An engine is not to outlive us.
    let settings = EngineSettings { stop: signals.ask_first().flag(), ..args.settings()? };
    let mut engine = Engine::start(path, settings).map_err(|error| sentence(path, &error));
    for (report, line) in traps {
        let said = match &mut engine {
            Ok(running) => judge(running, line).map_err(|error| sentence(path, &error)),
            Err(why) => Err(why.clone()),
        };
        if let (Ok(_), Err(why)) = (&engine, &said) {
            // What failed once is not asked again.
            engine = Err(why.clone());
        }
        report.soundness = report.soundness.clone().with_engine(said);
    }
    // Ended here, before anything else is done.
    let engine = engine.map(drop);
    signals.end_at_once()?;
    if let Err(why) = &engine {
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

fn judge(engine: &mut Engine, line: &TrapLine) -> Result<EngineEvidence, EngineError> {
    let mut trap = Chess::default();
    line.moves[..line.slip].iter().for_each(|&mv| trap.play_unchecked(mv));
    let after = |position: &Chess, mv: Move| {
        let mut after = position.clone();
        after.play_unchecked(mv);
        after
    };
    let slipped = after(&trap, line.moves[line.slip]);
    let refuted = line.moves.get(line.slip + 1).map(|&mv| after(&slipped, mv));
    let mut asked = Asked { engine, nodes: 0 };
    let (_, best) = asked.ask(&trap)?;
    let best = best.ok_or_else(|| EngineError::Nonsense { what: "no move where one is".into() })?;
    let defended = after(&trap, best);
    // Behind the victim's moves it is the setter's turn, behind the refutation the victim's.
    let without_slip = asked.ask(&defended)?.0;
    let after_slip = asked.ask(&slipped)?.0;
    let after_refutation = refuted.map(|refuted| asked.ask(&refuted)).transpose()?;
    Ok(EngineEvidence {
        n: asked.nodes,
        name: asked.engine.name().to_owned(),
        best: SanPlus::from_move(trap, best).to_string(),
        without_slip_cp: without_slip.into(),
        after_slip_cp: after_slip.into(),
        after_refutation_cp: after_refutation.map(|(centipawns, _)| f64::from(-centipawns)),
        slip_loses_cp: (after_slip - without_slip).into(),
    })
}

/// An engine and how much it has looked at.
struct Asked<'e> {
    engine: &'e mut Engine,
    nodes: u64,
}

impl Asked<'_> {
    /// Centipawns within +-1000 from the view of the side to move, and its best move. Where the game
    /// is over the rules answer instead of the engine.
    fn ask(&mut self, position: &Chess) -> Result<(i32, Option<Move>), EngineError> {
        if position.is_game_over() {
            return Ok((if position.is_checkmate() { -1000 } else { 0 }, None));
        }
        let judged = self.engine.judge(&Fen::from_position(position, EN_PASSANT).to_string())?;
        self.nodes = self.nodes.saturating_add(judged.nodes);
        let legal = judged.best.parse::<UciMove>().ok().and_then(|uci| uci.to_move(position).ok());
        let best = legal.ok_or_else(|| {
            let plain = |letter: char| if letter.is_control() { ' ' } else { letter };
            let word: String = judged.best.chars().take(40).map(plain).collect();
            EngineError::Nonsense { what: format!("the move '{word}', which is not legal") }
        })?;
        Ok((judged.score.clamped(), Some(best)))
    }
}
